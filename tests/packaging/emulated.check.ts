/**
 * The folder for linux-arm64, started for real with QEMU where that is installed (Debian: `qemu-user libc6-arm64-cross
 * libstdc++6-arm64-cross`).
 */
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { makeFolder } from './portable-folder.ts';
import { type StartedProgram, startProgram } from './started-program.ts';

const QEMU = '/usr/bin/qemu-aarch64';
const ARM_LIBRARIES = '/usr/aarch64-linux-gnu';
const folder = mkdtempSync(join(tmpdir(), 'idlewright emulated '));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Emulation is some twenty times slower. */
const PATIENT = { timeout: 240_000, interval: 500 };

test.runIf(existsSync(QEMU) && existsSync(ARM_LIBRARIES))(
  'the folder for linux-arm64 measures and keeps a capture',
  async () => {
    const made = makeFolder('linux-arm64', folder);
    const program = await startProgram(
      QEMU,
      [
        '-L',
        ARM_LIBRARIES,
        join(made, 'runtime/bin/node'),
        join(made, 'app/dist/server/main.js'),
        ...['--port', '0', '--source', 'practice', '--data', join(folder, 'arm data')],
      ],
      { PATH: '' },
    );
    try {
      await keepsACapture(program);
    } finally {
      expect(await program.stop()).toBe(0);
    }
    rmSync(made, { recursive: true });
  },
);

async function keepsACapture({ page }: StartedProgram): Promise<void> {
  expect(await (await fetch(`${page}/`)).text()).toContain('<div id="');
  const capture = async (path: string, body?: object) => {
    const answer = await fetch(`${page}/api/captures${path}`, {
      method: 'POST',
      ...(body === undefined
        ? {}
        : { body: JSON.stringify(body), headers: { 'content-type': 'application/json' } }),
    });
    return (await answer.json()) as { id: string; state: string; spreadKpa: number | null };
  };
  const { id } = await capture('', { label: 'before' });
  const list = async () => (await (await fetch(`${page}/api/captures`)).json()) as { samples: number }[];
  await expect.poll(async () => (await list())[0]?.samples ?? 0, PATIENT).toBeGreaterThan(4000);
  const stopped = await capture(`/${id}/stop`);
  expect(stopped.state).toBe('complete');
  // The practice twin idles some kilopascals apart until it is balanced.
  expect(stopped.spreadKpa).toBeGreaterThan(3);
  expect(stopped.spreadKpa).toBeLessThan(8);
}
