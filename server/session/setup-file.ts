import { readFileSync, renameSync, writeFileSync } from 'node:fs';
import { basename } from 'node:path';
import { Value } from 'typebox/value';
import { Setup } from '../contract/setup.ts';
import { syncFile } from '../durable-files.ts';

/** What a set-up file that cannot be used is called from then on. */
export const UNUSABLE_SUFFIX = '.unusable';

/**
 * The set-up as it was left, or null where there is none that can be used. A file that is there and cannot be used is set
 * aside, so that the next change does not write over what the person once chose.
 */
export function readSetupFile(file: string, log: (text: string) => void): Setup | null {
  let text: string;
  try {
    text = readFileSync(file, 'utf8');
  } catch (error) {
    const { code, message } = error as NodeJS.ErrnoException;
    if (code !== 'ENOENT') log(`set-up not read: ${message}`);
    return null;
  }
  const stored = parsed(text);
  if (Value.Check(Setup, stored)) return stored;
  log(`the set-up cannot be used: kept as ${basename(file)}${UNUSABLE_SUFFIX}`);
  try {
    renameSync(file, `${file}${UNUSABLE_SUFFIX}`);
  } catch (error) {
    log(`set-up not set aside: ${(error as Error).message}`);
  }
  return null;
}

/** Replaces the file in one step, so that a power cut leaves the old or the new one. @throws as node:fs does */
export function writeSetupFile(file: string, setup: Setup): void {
  const fresh = `${file}.new`;
  writeFileSync(fresh, `${JSON.stringify(setup, null, 2)}\n`, { mode: 0o600 });
  syncFile(fresh);
  renameSync(fresh, file);
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}
