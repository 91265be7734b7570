import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openBrowser } from '../browser.ts';
import { boardScene } from './fake-scene.ts';
import { FakeServer } from './fake-server.ts';
import { faults, openPage } from './open-page.ts';

let browser: Browser;

beforeAll(async () => {
  browser = await openBrowser();
});

afterAll(async () => {
  await browser.close();
});

/** Dark pixels in each cylinder's lane, from the top. */
const inkInLanes = (page: Page, lanes: number): Promise<number[]> =>
  page.evaluate(`(() => {
    const canvas = document.querySelector('.trace-chart canvas');
    if (canvas === null) return [];
    const lane = Math.floor((canvas.height - 32 * devicePixelRatio) / ${lanes});
    return Array.from({ length: ${lanes} }, (_, at) => {
      const { data } = canvas.getContext('2d').getImageData(0, at * lane, canvas.width, lane);
      let dark = 0;
      for (let i = 0; i < data.length; i += 4) if (data[i + 3] > 200 && data[i] + data[i + 1] + data[i + 2] < 150) dark++;
      return dark;
    });
  })()`);

test('each cylinder’s vacuum is in a lane of its own, and a lost sensor leaves its lane empty', async () => {
  const server = new FakeServer();
  server.scene = boardScene();
  server.scene.sensors[1] = 'open-to-air';
  await server.start();
  const page = await openPage(browser, server, { hash: 'pulses', screen: 'phone' });
  await expect
    .poll(async () => (await inkInLanes(page, 4)).map((ink) => ink > 50))
    .toEqual([true, false, true, true]);
  expect(await page.locator('.trace-plates .plate').count()).toBe(4);
  expect(faults(page)).toEqual([]);
  await page.context().close();
  await server.stop();
});
