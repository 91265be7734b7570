/**
 * `npm run guide:screen`: the picture of the bench in README.md, from the built program with its practice engine in a
 * real browser. Needs `npm run build` and Debian's Chromium.
 */
import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';

const ROOT = join(import.meta.dirname, '../..');
const CHART_FILLS_MS = 8000;
const SIZE = { width: 1280, height: 880 };

const folder = mkdtempSync(join(tmpdir(), 'idlewright-screen-'));
const program = spawn(
  process.execPath,
  [join(ROOT, 'dist/server/main.js'), '--port', '0', '--source', 'practice', '--data', folder],
  { stdio: ['ignore', 'pipe', 'inherit'] },
);
try {
  const page = await new Promise<string>((resolve, reject) => {
    let said = '';
    program.stdout.on('data', (bytes: Buffer) => {
      said += bytes.toString('utf8');
      const found = /listening on (\S+)/.exec(said)?.[1];
      if (found !== undefined) resolve(found);
    });
    program.on('exit', () => reject(new Error(`the program ended: ${said}`)));
  });
  const browser = await chromium.launch({ executablePath: '/usr/bin/chromium', args: ['--no-sandbox'] });
  const screen = await browser.newPage({ viewport: SIZE, colorScheme: 'light', reducedMotion: 'reduce' });
  await screen.addInitScript(
    "for (const seen of ['cautions', 'tour']) localStorage.setItem('idlewright.' + seen + '-seen', 'yes')",
  );
  await screen.goto(page);
  await screen.getByText('steady', { exact: true }).first().waitFor({ timeout: 60_000 });
  // A few cycles more, so that the chart below the rail has something to show.
  await screen.waitForTimeout(CHART_FILLS_MS);
  await screen.screenshot({ path: join(import.meta.dirname, 'screen.png') });
  await browser.close();
} finally {
  program.kill('SIGTERM');
  await new Promise((resolve) => program.on('close', resolve));
  rmSync(folder, { recursive: true, force: true });
}
