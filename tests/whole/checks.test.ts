import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { CheckBench } from './check-bench.ts';
import { launchBrowser } from './find-browser.ts';

const WHOLE_MS = 240_000;

/**
 * The guided checks as a person makes them: built programs, their practice engines in real time, a real browser. Three
 * benches side by side, because an engine cannot be hurried.
 */
describe.concurrent('checks on the practice engine, from the screen', () => {
  let browser: Browser;
  const benches: CheckBench[] = [];

  beforeAll(async () => {
    browser = await launchBrowser();
    for (let bench = 0; bench < 3; bench++) benches.push(await CheckBench.start(browser));
  }, 120_000);

  afterAll(async () => {
    for (const bench of benches) await bench.stop();
    await browser?.close();
  });

  test(
    'the torn diaphragm lags in a blip test; two openings are measured to a verdict',
    async () => {
      const bench = benches[0]!;
      await bench.patch({ tornDiaphragm: [false, true] });
      expect(await bench.open('blip')).toBe(false);
      await bench.start();
      for (let blip = 0; blip < 5; blip++) {
        await bench.page.getByText('Blip: open the throttle').waitFor();
        await bench.press('hands-blip');
        await bench.page.getByText(/Let it idle/).waitFor();
      }
      expect(await bench.result()).toEqual({ verdict: 'found', rows: ['not-found', 'found'] });

      expect(await bench.open('two-opening')).toBe(false);
      await bench.start();
      await bench.press('check-next');
      await bench.page.getByRole('button', { name: 'Raise the speed' }).click();
      await bench.page.waitForTimeout(2_500);
      await bench.press('check-next');
      expect((await bench.result()).rows).toHaveLength(2);
      expect(bench.pageErrors).toEqual([]);
    },
    WHOLE_MS,
  );

  test(
    'a held key switches each cylinder off in a drop test; sensors and starter are checked at a stand',
    async () => {
      const bench = benches[1]!;
      await bench.patch({ idleScrewTurns: 7 });
      expect(await bench.open('drop')).toBe(false);
      await bench.start();
      await bench.obey(2);
      expect(await bench.result()).toEqual({ verdict: 'not-found', rows: ['not-found', 'not-found'] });

      await bench.patch({ running: false, idleScrewTurns: 4.5 });
      // No caution is needed for an engine that stands.
      expect(await bench.open('key-off')).toBe(true);
      await bench.page.waitForTimeout(3_000);
      await bench.start();
      expect(await bench.result()).toEqual({ verdict: 'not-found', rows: ['not-found', 'not-found'] });

      expect(await bench.open('cranking')).toBe(false);
      await bench.start();
      await bench.press('hands-crank');
      expect(await bench.result()).toEqual({ verdict: 'not-found', rows: ['not-found', 'not-found'] });
      expect(bench.pageErrors).toEqual([]);
    },
    WHOLE_MS,
  );

  test(
    'the leaking boot is found by covering it, a leaking vessel does not hold, the idle has its figures',
    async () => {
      const bench = benches[2]!;
      await bench.patch({ leakMm: [0, 1.5] });
      expect(await bench.open('spot')).toBe(false);
      await bench.page.getByLabel('Spot 1').fill('boot 2');
      await bench.page.getByLabel('Spot 2').fill('');
      await bench.enter('#check-repeats', '1');
      await bench.start();
      await bench.obey(2);
      expect(await bench.result()).toEqual({ verdict: 'found', rows: ['found'] });

      expect(await bench.open('idle-quality')).toBe(false);
      await bench.enter('#check-watch', '10');
      await bench.start();
      await bench.result();
      expect(await bench.page.getByTestId('check-result').textContent()).toContain('our own score');
      expect(await bench.page.locator('.idle-speed-line').count()).toBe(1);
      await bench.page.getByTestId('earlier-results').waitFor();

      expect(await bench.open('hold')).toBe(false);
      await bench.enter('#check-limit-time', '6');
      await bench.press('hands-vessel');
      await bench.start();
      await bench.page.getByText('Pump the closed part down').waitFor();
      await bench.page.waitForTimeout(1_500);
      await bench.press('hands-pump');
      await bench.page.getByText('Leave pump, part and hose alone').waitFor();
      await bench.page.waitForTimeout(1_500);
      await bench.press('hands-let-go-leaking');
      expect(await bench.result()).toEqual({ verdict: 'found', rows: ['found'] });
      expect(bench.pageErrors).toEqual([]);
    },
    WHOLE_MS,
  );
});
