import { writeSync } from 'node:fs';

/** One line to the parent, handed to the operating system before this returns: it survives the kill that may follow. */
export function say(value: unknown): void {
  writeSync(1, `${JSON.stringify(value)}\n`);
}
