import { signal } from '@preact/signals';

/** The sentence of the advice that goes with the present reading, or null when there is none. */
export const nextMove = signal<string | null>(null);
