import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { until } from '../server/board/scripted-board.ts';
import { RunningService, type Viewer } from '../server/running-service.ts';
import { builtProgram } from './built-program.ts';
import { launchBrowser } from './find-browser.ts';

/** A busy computer finds the engine later. */
const PATIENT_MS = 60_000;

describe('two hoses of an in-line four on each other’s cylinder', () => {
  let folder = '';
  let service: RunningService;
  let viewer: Viewer;
  let browser: Browser;
  let page: Page;
  const errors: string[] = [];

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'idlewright-swapped-'));
    service = await RunningService.start(
      ['--source', 'practice', '--port', '0', '--data', join(folder, 'data')],
      {},
      builtProgram(),
    );
    viewer = service.watch();
    browser = await launchBrowser();
    const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, locale: 'en-US' });
    await context.addInitScript({
      content:
        "for (const seen of ['cautions', 'tour']) localStorage.setItem('idlewright.' + seen + '-seen', 'yes')",
    });
    page = await context.newPage();
    page.setDefaultTimeout(PATIENT_MS);
    page.on('pageerror', (error) => errors.push(String(error)));
    await page.goto(`${service.url}/#bench`);
    await page.getByTestId('practice-layout').selectOption('four-inline');
    await measured();
  }, 120_000);

  afterAll(async () => {
    viewer?.leave();
    await browser?.close();
    await service?.kill('SIGTERM');
    rmSync(folder, { recursive: true, force: true });
    expect(errors).toEqual([]);
  });

  /** Every cylinder is followed anew. */
  async function measured(): Promise<void> {
    const from = viewer.messages.length;
    await until(
      'readings of all four cylinders',
      () =>
        viewer.messages.length > from + 50 &&
        viewer.newest?.cylinders.length === 4 &&
        viewer.newest.cylinders.every(({ cycles }) => cycles >= 15),
      PATIENT_MS,
    );
  }
  const note = () => page.getByTestId('swapped-hoses');
  const choose = async (words: string) => {
    await page.goto(`${service.url}/#setup`);
    await page.getByRole('radio', { name: words, exact: true }).check();
    await page.goto(`${service.url}/#bench`);
  };

  test('are accused by nobody while the firing order is not known', async () => {
    await page.getByTestId('swap-hoses').selectOption('3-4');
    await measured();
    expect(viewer.newest?.swappedHoses).toBeNull();
    expect(await note().count()).toBe(0);
  });

  test('are named once the order is chosen in the set-up, and no screw is', async () => {
    await choose('In-line four, 1-2-4-3');
    await note().waitFor();
    expect(await note().textContent()).toContain('The hoses of cylinders 3 and 4 look swapped.');
    await expect.poll(() => viewer.newest?.advice?.sentence, { timeout: PATIENT_MS }).toBeNull();
  });

  test('are right again when they are put right', async () => {
    await page.getByTestId('swap-hoses').selectOption('');
    await note().waitFor({ state: 'detached' });
    await expect.poll(() => viewer.newest?.advice?.sentence, { timeout: PATIENT_MS }).not.toBeNull();
  });

  test('other two are named as those', async () => {
    await page.getByTestId('swap-hoses').selectOption('1-2');
    await note().waitFor();
    await expect.poll(() => note().textContent()).toContain('The hoses of cylinders 1 and 2 look swapped.');
    await choose('Not known');
    await note().waitFor({ state: 'detached' });
  });
});
