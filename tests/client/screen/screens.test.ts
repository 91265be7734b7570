import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { openBrowser } from '../browser.ts';
import { axeViolations } from './axe.ts';
import { practiceScene } from './fake-scene.ts';
import { FakeServer } from './fake-server.ts';
import { faults, openPage, SCREENS } from './open-page.ts';
import { cutOff, overlappingText, smallTargets, stickingOut } from './page-fit.ts';

const SIZES = Object.keys(SCREENS) as (keyof typeof SCREENS)[];
const THEMES = ['light', 'dark'] as const;
const VIEWS = ['bench', 'far', 'pulses', 'captures', 'setup'];

let server: FakeServer;
let browser: Browser;

beforeAll(async () => {
  server = await new FakeServer().start();
  server.addCapture({ label: 'before', startedAtMs: Date.now() - 600_000, durationS: 31, spreadKpa: 4.3 });
  server.addCapture({ label: 'after', startedAtMs: Date.now() - 60_000, durationS: 28, spreadKpa: 0.8 });
  browser = await openBrowser();
});

afterAll(async () => {
  await browser.close();
  await server.stop();
});

describe.each(SIZES)('on a %s screen', (screen) => {
  test.each(THEMES)('every view in the %s theme is free of accessibility faults and fits', async (theme) => {
    const page = await openPage(browser, server, { screen, theme });
    for (const hash of VIEWS) {
      await page.evaluate(`location.hash = '${hash}'`);
      await page.waitForTimeout(150);
      // The faults of a page do not depend on sizes in between.
      if (screen === 'phone' || screen === 'desktop')
        expect(await axeViolations(page), `${hash}: axe`).toEqual([]);
      expect(await stickingOut(page), `${hash}: wider than the screen`).toEqual([]);
      expect(await overlappingText(page), `${hash}: text on text`).toEqual([]);
      expect(await cutOff(page), `${hash}: cut off`).toEqual([]);
      expect(await smallTargets(page), `${hash}: targets under 44 px`).toEqual([]);
    }
    expect(faults(page)).toEqual([]);
    await page.context().close();
  });

  test('far-view keeps gap, rail, idle speed and the source, and drops the rest; the gap fills 18 % of the height', async () => {
    const page = await openPage(browser, server, { screen, hash: 'far' });
    await page.waitForSelector('.rail-plate');
    const gap = await page.getByTestId('gap').boundingBox();
    const { height, width } = SCREENS[screen];
    expect(gap!.height / height).toBeGreaterThanOrEqual(0.18);
    expect(gap!.x + gap!.width).toBeLessThanOrEqual(width);
    for (const id of ['gap', 'verdict', 'settling', 'idle-speed', 'source-state', 'practice-band']) {
      expect(await page.getByTestId(id).isVisible(), id).toBe(true);
    }
    for (const id of ['roughness-score', 'capture-before', 'cyl-1-vacuum', 'screw-1-more']) {
      expect(await page.getByTestId(id).count(), id).toBe(0);
    }
    // Everything is on the screen at once: from three metres nobody scrolls.
    expect(await page.evaluate('document.documentElement.scrollHeight <= innerHeight')).toBe(true);
    await page.context().close();
  });
});

test.each(SIZES)('on a %s screen the cautions are one tap away', async (screen) => {
  const page = await openPage(browser, server, { screen });
  await page.getByRole('button', { name: 'Cautions' }).click();
  await page.getByRole('dialog', { name: 'Before the engine runs' }).waitFor();
  await page.context().close();
});

test.each(['cautions', 'keys', 'more'])(
  'the sheet of %s is free of accessibility faults in both themes',
  async (sheet) => {
    for (const theme of THEMES) {
      const page = await openPage(browser, server, { theme });
      await page.getByTestId(sheet).click();
      await page.waitForSelector('dialog[open]');
      expect(await axeViolations(page)).toEqual([]);
      await page.context().close();
    }
  },
);

test('at 320 px, which is 1280 px enlarged four times, nothing is cut off (WCAG 2.2, 1.4.10)', async () => {
  const page = await openPage(browser, server, { context: { viewport: { width: 320, height: 640 } } });
  for (const hash of VIEWS) {
    await page.evaluate(`location.hash = '${hash}'`);
    await page.waitForTimeout(150);
    expect(await stickingOut(page), hash).toEqual([]);
  }
  await page.context().close();
});

test.each([1, 2, 3, 6, 8])('%i cylinders fit on a phone and on a desktop', async (cylinders) => {
  const other = new FakeServer();
  other.scene = practiceScene(cylinders);
  await other.start();
  for (const screen of ['phone', 'desktop'] as const) {
    const page = await openPage(browser, other, { screen });
    await page.waitForTimeout(400);
    expect(await stickingOut(page)).toEqual([]);
    expect(await page.locator('.cylinder-table tbody tr').count()).toBe(cylinders);
    expect(await page.locator('.rail .rail-plate').count()).toBe(cylinders === 1 ? 0 : cylinders);
    expect(await axeViolations(page)).toEqual([]);
    expect(faults(page)).toEqual([]);
    await page.context().close();
  }
  await other.stop();
});
