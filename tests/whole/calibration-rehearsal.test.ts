import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { CalibrationState } from '../../server/contract/calibration.ts';
import { axeViolations } from '../client/screen/axe.ts';
import { RunningService, type Viewer } from '../server/running-service.ts';
import { builtProgram } from './built-program.ts';
import { launchBrowser } from './find-browser.ts';

/** Asks until it holds, however busy the computer is. */
async function until(what: string, holds: () => boolean | Promise<boolean>): Promise<void> {
  for (let tries = 0; tries < 600; tries++) {
    if (await holds()) return;
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  throw new Error(`it never came to this: ${what}`);
}

const SIZES = { phone: { width: 360, height: 740 }, desktop: { width: 1920, height: 1080 } };

/**
 * A calibration as a person does it, nothing replaced: the built service with its practice bench, its data file, and a real
 * browser in which the buttons are pressed.
 */
describe('a calibration is rehearsed on the practice bench', () => {
  let folder = '';
  let service: RunningService;
  let viewer: Viewer;
  let browser: Browser;
  let page: Page;
  const pageErrors: string[] = [];

  beforeAll(async () => {
    const program = builtProgram();
    folder = mkdtempSync(join(tmpdir(), 'idlewright-calibration-'));
    service = await RunningService.start(
      ['--port', '0', '--data', join(folder, 'data'), '--source', 'practice'],
      {},
      program,
    );
    viewer = service.watch();
    browser = await launchBrowser();
    const context = await browser.newContext({ viewport: SIZES.desktop, locale: 'en-US' });
    await context.addInitScript({
      content:
        "for (const seen of ['cautions', 'tour']) localStorage.setItem('idlewright.' + seen + '-seen', 'yes')",
    });
    page = await context.newPage();
    page.setDefaultTimeout(40_000);
    page.on('pageerror', (error) => pageErrors.push(String(error)));
    page.on('console', (message) => {
      if (message.type() === 'error') pageErrors.push(message.text());
    });
    await page.goto(`${service.url}/#bench`);
  }, 120_000);

  afterAll(async () => {
    viewer?.leave();
    await browser?.close();
    await service?.kill('SIGTERM');
    rmSync(folder, { recursive: true, force: true });
  });

  const state = async (): Promise<CalibrationState> =>
    (await fetch(`${service.url}/api/calibration`)).json() as Promise<CalibrationState>;
  const expandedKpa = () => viewer.newest?.spreadExpandedKpa ?? null;
  const eachLooksRight = async (name: string) => {
    for (const [size, viewport] of Object.entries(SIZES)) {
      await page.setViewportSize(viewport);
      for (const colorScheme of ['light', 'dark'] as const) {
        await page.emulateMedia({ colorScheme, reducedMotion: 'reduce' });
        // Colours glide from one theme to the other.
        await page.evaluate('Promise.allSettled(document.getAnimations().map(({ finished }) => finished))');
        expect(await axeViolations(page), `${name}, ${size}, ${colorScheme}`).toEqual([]);
      }
      expect(
        await page.evaluate('document.documentElement.scrollWidth <= innerWidth'),
        `${name} fits ${size}`,
      ).toBe(true);
    }
    await page.setViewportSize(SIZES.desktop);
    await page.emulateMedia({ colorScheme: 'light' });
  };
  let before = 0;

  test('sensors as bought make the gap unsure, and the bench says why in one line', async () => {
    expect(await page.getByTestId('calibration-line').count()).toBe(0);
    await page.evaluate("location.hash = 'calibration'");
    await page.getByLabel('As bought').check();
    await until('the board to be another', async () => (await state()).board?.boardId === 'practice-bought2');
    await until('a gap', () => expandedKpa() !== null && expandedKpa()! > 1);
    before = expandedKpa()!;
    await page.evaluate("location.hash = 'bench'");
    await page.getByTestId('calibration-line').waitFor();
    expect(await page.getByTestId('calibration-line').textContent()).toMatch(/never calibrated/);
    await page.getByTestId('open-calibration').click();
    await page.getByTestId('sensors-open').click();
    await page.getByTestId('sensor-2-type').selectOption('own');
    await page.getByLabel('By altitude').check();
    await eachLooksRight('calibration with its forms open');
    await page.getByTestId('sensors-open').click();
  }, 180_000);

  test('a matching with too few steps is refused with what to do', async () => {
    await page.getByTestId('vessel-0').click();
    await page.getByTestId('matching-start').click();
    await page.getByTestId('matching-steps').waitFor();
    await page.getByTestId('matching-finish').click();
    await page.getByTestId('calibration-refusal').waitFor();
    expect(await page.getByTestId('calibration-refusal').textContent()).toMatch(
      /too close together.*Start at air/,
    );
    await page.getByRole('button', { name: 'OK' }).click();
  }, 180_000);

  test('steps pulled by hand are found, and their residuals are shown', async () => {
    await page.getByTestId('matching-start').click();
    for (const [at, kpa] of [0, 15, 30, 45, 60].entries()) {
      await page.getByTestId(`vessel-${kpa}`).click();
      await until(`step ${at + 1}`, async () => {
        const { steps } = (await state()).desk;
        return steps.length === at + 1 && steps.at(-1)!.lengthS > 2.5;
      });
    }
    await page.getByTestId('matching-finish').click();
    await page.getByTestId('calibration-proposal').waitFor();
    expect(await page.locator('.calibration-picture .rail-plate').count()).toBe(10);
    await eachLooksRight('proposal');
    await page.getByTestId('calibration-technician').fill('K. Test');
    await page.getByTestId('calibration-save').click();
    await page.getByTestId('calibration-history').waitFor();
    expect(await page.getByTestId('calibration-history').textContent()).toMatch(
      /Matching.*K\. Test.*in use/s,
    );
    await eachLooksRight('history');
  }, 240_000);

  test('the gap is surer by far, and the line on the bench is gone', async () => {
    await page.evaluate("location.hash = 'bench'");
    await page.getByTestId('hoses-back').click();
    await until('a surer gap', () => expandedKpa() !== null && expandedKpa()! < before / 2);
    await until('the same on the screen', async () => {
      const shown = await page.getByTestId('gap-uncertainty').getAttribute('data-kpa');
      return shown !== null && shown !== '' && Number(shown) < before / 2;
    });
    expect(await page.getByTestId('calibration-line').count()).toBe(0);
  }, 120_000);

  test('another board does not get it', async () => {
    await page.getByTestId('practice-layout').selectOption('triple-120');
    await until('the other board', async () => (await state()).board?.boardId === 'practice-bought3');
    expect((await state()).board).toMatchObject({ calibrationId: null, kinds: [] });
    await page.getByTestId('calibration-line').waitFor();
    await page.getByTestId('open-calibration').click();
    await page.getByTestId('history-board').selectOption('practice-bought2');
    await page.getByRole('button', { name: /again/ }).click();
    await page
      .getByText(/belongs to another board/)
      .first()
      .waitFor();
    expect((await state()).board).toMatchObject({ calibrationId: null, kinds: [] });
  }, 120_000);

  test('the page of board and cable tells noise and link', async () => {
    await page.evaluate("location.hash = 'health'");
    await page.getByTestId('link-history').waitFor();
    await until('the noise', async () =>
      Number.isFinite(Number(await page.getByTestId('noise-1').first().textContent())),
    );
    await eachLooksRight('health');
    expect(pageErrors.filter((error) => !/409/.test(error))).toEqual([]);
  }, 120_000);
});
