import { effect, signal } from '@preact/signals';
import type { Role } from '../../server/contract/access.ts';
import { api } from './api.ts';
import { connection } from './latest.ts';

/** What this browser may do; null until the program has said so. */
export const role = signal<Role | null>(null);

export async function askRole(): Promise<void> {
  const answer = await api.me();
  if (answer.ok) role.value = answer.value.role;
}

/** Asks at the start and whenever the live connection is lost: it may be because this device was removed. */
export function followAccess(): void {
  void askRole();
  effect(() => {
    if (connection.value === 'waiting') void askRole();
  });
}
