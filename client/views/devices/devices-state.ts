import { signal } from '@preact/signals';
import type { AccessState, DeviceRole } from '../../../server/contract/access.ts';
import { api } from '../../link/api.ts';
import { tell } from '../../link/notice.ts';

const LOOK_EVERY_MS = 1_000;

/** What the program says of the devices; null until it has. */
export const access = signal<AccessState | null>(null);

/** Asks once a second while the screen is open. @returns what ends it */
export function followDevices(): () => void {
  const look = async () => {
    const answer = await api.access();
    if (answer.ok) access.value = answer.value;
  };
  void look();
  const timer = setInterval(() => void look(), LOOK_EVERY_MS);
  return () => clearInterval(timer);
}

export async function offerCode(role: DeviceRole): Promise<void> {
  const answer = await tell(api.offerCode({ role }));
  if (answer.ok) access.value = answer.value;
}

export async function withdrawCode(): Promise<void> {
  const answer = await tell(api.withdrawCode());
  if (answer.ok) access.value = answer.value;
}

export async function removeDevice(id: string): Promise<void> {
  const answer = await tell(api.removeDevice(id));
  if (answer.ok) access.value = answer.value;
}
