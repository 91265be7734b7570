import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, expect, test } from 'vitest';

const UNIT = resolve(import.meta.dirname, '../../server/packaging/idlewright.service');
const SYSTEMD = '/usr/bin/systemd-analyze';
const folder = mkdtempSync(join(tmpdir(), 'idlewright-service-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** What systemd has to say against the unit; it also looks whether the program can be started. */
function complaints(text: string): string {
  const unit = join(folder, 'idlewright.service');
  writeFileSync(unit, text.replace('ExecStart=/opt/idlewright/runtime/bin/node', 'ExecStart=/bin/true'));
  return spawnSync(SYSTEMD, ['verify', unit], { encoding: 'utf8' })
    .stderr.split('\n')
    .filter((line) => line.includes('idlewright'))
    .join('\n');
}

test.runIf(existsSync(SYSTEMD))(
  'systemd takes the service file as it is, and would say if it did not',
  () => {
    const text = readFileSync(UNIT, 'utf8');
    expect(text).toContain(
      'ExecStart=/opt/idlewright/runtime/bin/node /opt/idlewright/app/dist/server/main.js ',
    );
    expect(complaints(text)).toBe('');
    expect(complaints(text.replace('Restart=always', 'Restart=whenever'))).toContain('restart specifier');
  },
);
