import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { changeSetup, DEFAULT_SETUP } from '../../../server/session/setup-change.ts';
import { readSetupFile, UNUSABLE_SUFFIX, writeSetupFile } from '../../../server/session/setup-file.ts';
import { linkageOf } from '../../../server/session/setup-linkage.ts';

let folder = '';
let logged: string[] = [];
const file = () => join(folder, 'setup.json');
const read = () => readSetupFile(file(), (text) => logged.push(text));

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'setup-'));
  logged = [];
});
afterEach(() => rmSync(folder, { recursive: true }));

describe('the file of the set-up', () => {
  it('comes back as it was written, and nothing is said of one that is not there', () => {
    expect(read()).toBeNull();
    writeSetupFile(file(), { ...DEFAULT_SETUP, cylinders: 3 });
    expect(read()).toEqual({ ...DEFAULT_SETUP, cylinders: 3 });
    expect(logged).toEqual([]);
  });

  it('from before there was a linkage is taken as it is, with the usual one', () => {
    const { linkage, raisedTargetRpm, raisedToleranceKpa, ...old } = { ...DEFAULT_SETUP, cylinders: 2 };
    writeFileSync(file(), JSON.stringify(old));
    const found = read()!;
    expect(found).toEqual(old);
    expect(linkageOf(found, 2).kind).toBe('one-screw');
    const changed = changeSetup(
      found,
      { linkage: { kind: 'base-and-screws', base: 2 } },
      { boardBarometricKpa: null, keyOffKpa: null, captureRunning: false },
    );
    expect(changed.ok).toBe(true);
    if (changed.ok) writeSetupFile(file(), changed.value);
    expect(read()!.linkage).toEqual({ kind: 'base-and-screws', base: 2 });
  });

  it.each([
    ['cut off by a power cut', '{"cylinders": 4, "stro'],
    ['of another version', JSON.stringify({ ...DEFAULT_SETUP, cylinders: 12 })],
  ])('%s is set aside whole and said, not written over', (_what, text) => {
    writeFileSync(file(), text);
    expect(read()).toBeNull();
    expect(logged).toEqual([`the set-up cannot be used: kept as setup.json${UNUSABLE_SUFFIX}`]);
    writeSetupFile(file(), DEFAULT_SETUP);
    expect(readFileSync(`${file()}${UNUSABLE_SUFFIX}`, 'utf8')).toBe(text);
    expect(existsSync(file())).toBe(true);
  });
});
