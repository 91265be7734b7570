import { mkdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { AccessDesk, type AccessSecrets, SEEN_EVERY_MS } from '../../../server/access/access-desk.ts';
import { deviceFile } from '../../../server/access/device-file.ts';
import { MAX_DEVICES, UNSEEN_LIFE_MS } from '../../../server/access/device-list.ts';
import { ACCESS_FOLDER, accessFolder } from '../../../server/access/private-files.ts';
import { systemSecrets } from '../../../server/access/system-secrets.ts';
import { temporaryFolder } from '../jobs/temporary-folder.ts';
import { ManualClock } from '../manual-clock.ts';

/** Real hashes and a real file; codes and tokens that the test knows. */
function deskIn(dataDir: string, clock = new ManualClock()) {
  let count = 0;
  const secrets: AccessSecrets = {
    ...systemSecrets,
    newCode: () => String(100_000 + ++count),
    newToken: () => `token-${clock.nowMs()}-${++count}`,
  };
  const unreadable: string[] = [];
  const troubles: unknown[] = [];
  const desk = new AccessDesk({
    clock,
    secrets,
    keep: deviceFile(accessFolder(dataDir), (path) => unreadable.push(path)),
    onTrouble: (error) => troubles.push(error),
  });
  const letIn = (name = 'Tablet', role: 'view' | 'operate' = 'operate') => {
    desk.offer(role);
    const answer = desk.letIn(desk.state(null).offer!.code, name, '192.0.2.9');
    if (!answer.ok) throw new Error(answer.reason);
    return answer.token;
  };
  return { desk, clock, letIn, unreadable, troubles };
}

describe('the list of devices', () => {
  test('a device that was let in is known by its token, also after a restart', () => {
    const dataDir = temporaryFolder();
    const first = deskIn(dataDir);
    const token = first.letIn('  Phone on the lift ', 'view');
    expect(first.desk.deviceWith(token)).toMatchObject({ name: 'Phone on the lift', role: 'view' });
    const again = deskIn(dataDir);
    expect(again.desk.deviceWith(token)).toMatchObject({ name: 'Phone on the lift', role: 'view' });
    expect(again.desk.deviceWith(`${token}x`)).toBeNull();
    expect(again.desk.deviceWith('')).toBeNull();
  });

  test('tokens and codes are not in the file, and nobody else may read it', () => {
    const dataDir = temporaryFolder();
    const { desk, letIn } = deskIn(dataDir);
    const token = letIn();
    desk.offer('operate');
    const path = join(dataDir, ACCESS_FOLDER, 'devices.json');
    const text = readFileSync(path, 'utf8');
    expect(text).not.toContain(token);
    expect(text).not.toContain(desk.state(null).offer!.code);
    expect(text).toContain(systemSecrets.hashOf(token));
    expect(statSync(path).mode & 0o777).toBe(0o600);
    expect(statSync(join(dataDir, ACCESS_FOLDER)).mode & 0o777).toBe(0o700);
  });

  test('a folder that others could read is made private', () => {
    const dataDir = temporaryFolder();
    mkdirSync(join(dataDir, ACCESS_FOLDER), { mode: 0o755 });
    deskIn(dataDir);
    expect(statSync(join(dataDir, ACCESS_FOLDER)).mode & 0o777).toBe(0o700);
  });

  test('a device that is removed is cut off at once, is not known any more, and stays out after a restart', () => {
    const dataDir = temporaryFolder();
    const { desk, letIn } = deskIn(dataDir);
    const [token, other] = [letIn('Tablet'), letIn('Phone')];
    const { id } = desk.deviceWith(token)!;
    const cut: string[] = [];
    desk.connected(id, () => cut.push('first'));
    desk.connected(id, () => cut.push('second'));
    desk.connected(id, () => cut.push('gone'))();
    desk.connected(desk.deviceWith(other)!.id, () => cut.push('other device'));
    expect(desk.state(null).devices.map(({ connected }) => connected)).toEqual([true, true]);
    expect(desk.remove(id)).toBe(true);
    expect(cut).toEqual(['first', 'second']);
    expect(desk.deviceWith(token)).toBeNull();
    expect(desk.deviceWith(other)).not.toBeNull();
    expect(deskIn(dataDir).desk.deviceWith(token)).toBeNull();
    expect(desk.remove(id)).toBe(false);
  });

  test('a device stays cut off even where the disk does not take the change', () => {
    const dataDir = temporaryFolder();
    const { desk, letIn } = deskIn(dataDir);
    const token = letIn();
    const { id } = desk.deviceWith(token)!;
    const cut: string[] = [];
    desk.connected(id, () => cut.push('cut'));
    // The name of the new file is taken by a folder that is not empty: no write can succeed.
    mkdirSync(join(dataDir, ACCESS_FOLDER, 'devices.json.new', 'in-the-way'), { recursive: true });
    expect(() => desk.remove(id)).toThrow();
    expect(cut).toEqual(['cut']);
    expect(desk.deviceWith(token)).toBeNull();
  });

  test('a device that was not seen for a season is forgotten; one that is seen stays', async () => {
    const { desk, clock, letIn } = deskIn(temporaryFolder());
    const [lost, used] = [letIn('Lost'), letIn('Used')];
    await clock.advance(UNSEEN_LIFE_MS / 2);
    expect(desk.deviceWith(used)).not.toBeNull();
    await clock.advance(UNSEEN_LIFE_MS / 2 + 1);
    expect(desk.deviceWith(lost)).toBeNull();
    expect(desk.deviceWith(used)).not.toBeNull();
    expect(desk.state(null).devices.map(({ name }) => name)).toEqual(['Used']);
  });

  test('that a device was seen is written down, but not with every request', async () => {
    const dataDir = temporaryFolder();
    const { desk, clock, letIn } = deskIn(dataDir);
    const token = letIn();
    const path = join(dataDir, ACCESS_FOLDER, 'devices.json');
    const written = readFileSync(path, 'utf8');
    await clock.advance(SEEN_EVERY_MS - 1);
    desk.deviceWith(token);
    expect(readFileSync(path, 'utf8')).toBe(written);
    await clock.advance(1);
    desk.deviceWith(token);
    expect(JSON.parse(readFileSync(path, 'utf8'))).toMatchObject([{ lastSeenAtMs: clock.wallMs() }]);
  });

  test('a list that is full takes no more', () => {
    const { desk, letIn } = deskIn(temporaryFolder());
    for (let n = 0; n < MAX_DEVICES; n++) letIn(`Device ${n}`);
    desk.offer('view');
    expect(desk.letIn(desk.state(null).offer!.code, 'One more', '192.0.2.9')).toEqual({
      ok: false,
      reason: 'too-many-devices',
    });
  });

  test.each(['', '{', '{"devices":[]}', '[{"id":"a","role":"instrument"}]'])(
    'a file that says %j lets nobody in and is told of',
    (text) => {
      const dataDir = temporaryFolder();
      writeFileSync(join(accessFolder(dataDir), 'devices.json'), text);
      const { desk, unreadable } = deskIn(dataDir);
      expect(desk.state(null).devices).toEqual([]);
      expect(unreadable).toHaveLength(1);
    },
  );

  test('what is shown on the instrument holds neither token nor hash', () => {
    const { desk, letIn } = deskIn(temporaryFolder());
    const token = letIn();
    const shown = JSON.stringify(desk.state({ addresses: ['192.0.2.2'], fingerprint: null }));
    expect(shown).not.toContain(token);
    expect(shown).not.toContain(systemSecrets.hashOf(token));
  });
});

describe('codes and tokens of the system', () => {
  test('codes are six digits and spread over all of them; tokens have 256 bits and never come twice', () => {
    const codes = Array.from({ length: 2_000 }, () => systemSecrets.newCode());
    expect(codes.every((code) => /^[0-9]{6}$/.test(code))).toBe(true);
    // Of 2,000 draws from 1,000,000 about two come twice (birthday problem); 20 would be chance of 1e-12.
    expect(new Set(codes).size).toBeGreaterThan(1_980);
    expect(new Set(codes.map((code) => code[0])).size).toBe(10);
    const tokens = Array.from({ length: 500 }, () => systemSecrets.newToken());
    expect(new Set(tokens).size).toBe(500);
    expect(tokens.every((token) => Buffer.from(token, 'base64url').length === 32)).toBe(true);
  });
});
