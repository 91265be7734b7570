import { computed } from '@preact/signals';
import { figures } from '../../link/shown.ts';

/** Said where balancing has moved the idle speed out of its band; null otherwise. */
export const idleReminder = computed(() => figures.value?.advice?.idle.sentence ?? null);
/** The sentence of the advice that goes with the reading on the screen, or null when there is none. */
export const nextMove = computed(() => figures.value?.advice?.sentence ?? null);
