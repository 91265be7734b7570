import { readFileSync, renameSync, writeFileSync } from 'node:fs';
import { Value } from 'typebox/value';
import { Setup } from '../contract/live.ts';

/** The set-up as it was left, or null where there is none that can be used. */
export function readSetupFile(file: string): Setup | null {
  try {
    const stored: unknown = JSON.parse(readFileSync(file, 'utf8'));
    return Value.Check(Setup, stored) ? stored : null;
  } catch {
    return null;
  }
}

/** Replaces the file in one step, so that a power cut leaves the old or the new one. @throws as node:fs does */
export function writeSetupFile(file: string, setup: Setup): void {
  const fresh = `${file}.new`;
  writeFileSync(fresh, `${JSON.stringify(setup, null, 2)}\n`, { mode: 0o600 });
  renameSync(fresh, file);
}
