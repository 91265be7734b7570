import { describe, expect, test } from 'vitest';
import { lineColour } from '../../../client/charts/cylinder-style.ts';
import { boardScene } from './fake-scene.ts';
import { open, page, screenTests, server } from './screen-tests.ts';

screenTests(async () => {
  server.scene = boardScene();
  server.scene.scatterKpa = 0;
  await open();
});

interface Found {
  /** Mean place from left to right as a part of the canvas. */
  readonly x: number;
  readonly count: number;
}

/** Pixels of a cylinder's own colour in a slice of the chart's height. */
async function linePixels(cyl: number, fromY: number, toY: number): Promise<Found> {
  return page.evaluate(`(() => {
    const canvas = document.querySelector('.chart .uplot canvas');
    const top = Math.floor(${fromY} * canvas.height), bottom = Math.floor(${toY} * canvas.height);
    const { data, width } = canvas.getContext('2d').getImageData(0, top, canvas.width, bottom - top);
    const colour = '${lineColour(cyl, 'light')}';
    const [r, g, b] = [1, 3, 5].map((at) => parseInt(colour.slice(at, at + 2), 16));
    let count = 0, sum = 0;
    for (let i = 0; i < data.length; i += 4) {
      if (Math.abs(data[i] - r) + Math.abs(data[i + 1] - g) + Math.abs(data[i + 2] - b) > 12) continue;
      count++;
      sum += (i / 4) % width;
    }
    return { count, x: sum / count / width };
  })()`);
}

/** Where a marker stands on the rail, as a part of the rail's width. */
async function markerPlace(cyl: number): Promise<number> {
  const centres: number[] = await page.evaluate(`(() => {
    const rail = document.querySelector('.rail').getBoundingClientRect();
    return [...document.querySelectorAll('.rail .rail-width')].map((bar) => {
      const box = bar.getBoundingClientRect();
      return (box.left + box.width / 2 - rail.left) / rail.width;
    });
  })()`);
  return centres[cyl]!;
}

describe('the convergence chart', () => {
  test('every cylinder’s line ends under its marker: rail and chart share one scale', async () => {
    server.runAhead(40);
    await expect.poll(async () => (await linePixels(0, 0, 0.2)).count).toBeGreaterThan(100);
    for (const cyl of [0, 1, 2, 3]) {
      expect((await linePixels(cyl, 0.02, 0.2)).count, `cylinder ${cyl + 1}`).toBeGreaterThan(50);
      // Picture and marker are read one after the other, and the scale may step between the two.
      const apart = async () => Math.abs((await linePixels(cyl, 0.02, 0.2)).x - (await markerPlace(cyl)));
      await expect.poll(apart, { timeout: 8_000, message: `cylinder ${cyl + 1}` }).toBeLessThan(0.005);
    }
  });

  test('readings that stop leave a gap at the top that grows, and no held line', async () => {
    server.runAhead(40);
    await expect.poll(async () => (await linePixels(0, 0, 0.06)).count).toBeGreaterThan(30);
    server.sending = false;
    await expect.poll(async () => (await linePixels(0, 0, 0.06)).count, { timeout: 8_000 }).toBe(0);
    expect((await linePixels(0, 0.2, 0.5)).count).toBeGreaterThan(100);
  });

  test('a lost sensor ends its own line and no other', async () => {
    server.runAhead(40);
    server.scene.sensors[0] = 'dead';
    server.runAhead(15);
    await expect.poll(async () => (await linePixels(0, 0.02, 0.2)).count).toBe(0);
    expect((await linePixels(1, 0.02, 0.2)).count).toBeGreaterThan(50);
    expect((await linePixels(0, 0.4, 0.6)).count).toBeGreaterThan(100);
  });

  test('frozen, the picture stands still', async () => {
    server.runAhead(40);
    await page.waitForTimeout(400);
    await page.getByTestId('freeze').click();
    await page.waitForTimeout(200);
    const picture = () =>
      page.evaluate(
        `[...document.querySelectorAll('.chart canvas')].map((canvas) => canvas.toDataURL()).join()`,
      );
    const before = await picture();
    server.scene.gapsKpa = [0, 0, 0, 0];
    server.runAhead(10);
    await page.waitForTimeout(600);
    expect(await picture()).toBe(before);
  });

  test('frozen, it is still there on a tablet that is turned', async () => {
    server.runAhead(40);
    await expect.poll(async () => (await linePixels(0, 0.3, 0.5)).count).toBeGreaterThan(50);
    await page.getByTestId('freeze').click();
    await page.setViewportSize({ width: 800, height: 1200 });
    await expect
      .poll(async () => (await linePixels(0, 0.02, 0.2)).x - (await markerPlace(0)), { timeout: 20_000 })
      .toBeCloseTo(0, 2);
    expect((await linePixels(0, 0.3, 0.5)).count).toBeGreaterThan(50);
  });

  test('another unit has other marks and the same picture of the band', async () => {
    server.runAhead(40);
    await page.waitForTimeout(300);
    const bandMiddle = `(() => { const band = document.querySelector('.rail-band').getBoundingClientRect(); return band.left + band.width / 2; })()`;
    const before = await page.evaluate<number>(bandMiddle);
    await page.getByTestId('unit').selectOption('mmHg');
    await page.waitForTimeout(300);
    expect(await page.evaluate<number>(bandMiddle)).toBeCloseTo(before, 0);
    const { x } = await linePixels(0, 0.02, 0.2);
    expect(x).toBeCloseTo(await markerPlace(0), 2);
  });
});

describe('the rail', () => {
  test('a marker is as wide as its uncertainty', async () => {
    server.scene.expandedKpa = 0.4;
    server.runAhead(10);
    await page.waitForTimeout(300);
    const [bar, band]: [number, number] = await page.evaluate(
      `['.rail-width', '.rail-band'].map((name) => document.querySelector('.rail ' + name).getBBox().width)`,
    );
    // The band is ±1 kPa, the marker ±0.4 kPa.
    expect(bar / band).toBeCloseTo(0.4, 2);
  });

  test('a marker that moves leaves a tail', async () => {
    server.scene.gapsKpa = [0, 0, 0, 0];
    await page.waitForTimeout(500);
    expect(await page.locator('.rail line[opacity]').count()).toBeGreaterThan(3);
  });

  test('all markers inside the band thicken its edge and say equal', async () => {
    server.scene.gapsKpa = [0.2, -0.1, 0, -0.1];
    server.runAhead(20);
    await page.locator('.rail-band-equal').waitFor();
    expect(await page.getByTestId('verdict').textContent()).toBe('Equal');
  });
});

test('on a phone the gap stays in sight while the screws further down are turned', async () => {
  await page.setViewportSize({ width: 360, height: 740 });
  await page.waitForTimeout(300);
  expect(await page.locator('.gap-strip').count()).toBe(0);
  await page.getByTestId('capture-before').scrollIntoViewIfNeeded();
  await page.locator('.gap-strip').waitFor();
  // In one look: the reading goes on.
  const [strip, gap] = (await page.evaluate(
    `['.gap-strip-figure', '[data-testid=gap]'].map((at) => document.querySelector(at).textContent)`,
  )) as string[];
  expect(strip).toBe(gap);
});
