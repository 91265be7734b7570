import { storedSwitch } from '../settings/stored-choice.ts';

/** Whether single characters work as shortcuts. Speech input users need to switch them off (WCAG 2.2, 2.1.4). */
export const singleKeys = storedSwitch('single-keys', true);
