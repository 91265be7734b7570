import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { AttackedService, json } from './attacked-service.ts';

test('codes, tokens and cookies are in no log, however much is logged, in no file and no diagnostics', async () => {
  const attacked = await AttackedService.start([], undefined, { IDLEWRIGHT_LOG_LEVEL: 'trace' });
  try {
    const code = await attacked.code();
    const wrong = code === '000000' ? '000001' : '000000';
    await attacked.network('/api/access/let-in', json({ code: wrong, name: 'Tablet' }));
    await attacked.network('/api/access/let-in', json({ code: `${code}0`, name: 'Tablet' }));
    const letIn = await attacked.network('/api/access/let-in', json({ code, name: 'Tablet' }));
    const cookie = letIn.headers['set-cookie']![0]!.split(';')[0]!;
    const token = cookie.split('=')[1]!;
    await attacked.network('/api/setup', { headers: { cookie } });
    await attacked.network('/api/nothing', { ...json({}), headers: { cookie } });
    const live = attacked.live({ cookie });
    expect(await live.decided()).toBe(101);
    live.socket.terminate();
    const { body: diagnostics } = await attacked.instrument('/api/diagnostics');
    expect(diagnostics).toContain('a device was let in');
    expect(diagnostics).not.toContain(token);
    expect(diagnostics).not.toMatch(new RegExp(`(?<![0-9.])${code}(?![0-9])`));
    expect(diagnostics).not.toMatch(/cookie|tokenHash/i);
    await attacked.service.kill('SIGTERM');

    const logged = attacked.service.stdout + attacked.service.stderr;
    // The log was on: it tells of the requests and of the device.
    expect(logged).toContain('/api/access/let-in');
    expect(logged).toContain('a device was let in');
    expect(logged).not.toContain(token);
    // As a word of its own: the digits could be part of a time.
    expect(logged).not.toMatch(new RegExp(`(?<![0-9.])${code}(?![0-9])`));
    const files = readdirSync(attacked.folder, { recursive: true, withFileTypes: true }).filter((entry) =>
      entry.isFile(),
    );
    expect(files.length).toBeGreaterThan(1);
    for (const { parentPath, name } of files) {
      expect(readFileSync(join(parentPath, name), 'latin1'), name).not.toContain(token);
    }
  } finally {
    await attacked.stop();
  }
});
