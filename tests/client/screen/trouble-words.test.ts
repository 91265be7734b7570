import { expect, test } from 'vitest';
import type { SensorState } from '../../../server/contract/live.ts';
import { adviceOf, boardScene } from './fake-scene.ts';
import { open, page, screenTests, server } from './screen-tests.ts';

const PATIENT = { timeout: 20_000 };

screenTests();

const text = (id: string) => page.getByTestId(id).first().textContent();

test.each<[SensorState, RegExp]>([
  ['open-to-air', /the hose has come off/],
  ['dead', /No signal from this sensor/],
  ['no-pulse', /No intake pulse: engine stopped, or this cylinder does not draw/],
  ['blocked', /hose or port blocked/],
  ['saturated', /end of its range/],
  ['noisy', /away from the ignition leads/],
])(
  'a sensor that is %s has a sentence on the bench and in the far-view, and no figure',
  async (state, words) => {
    server.scene.sensors[1] = state;
    await open();
    await expect.poll(() => page.locator('.sensor-notes').textContent(), PATIENT).toMatch(words);
    expect(await text('cyl-2-vacuum')).toBe('–');
    await page.getByTestId('far-view').click();
    await expect.poll(() => page.locator('.far .sensor-notes').textContent(), PATIENT).toMatch(words);
  },
);

test('a board that is gone is said with what to do, and no figure is left of it', async () => {
  server.scene = boardScene();
  server.scene.advice = adviceOf('Turn the screw between 1 and 2 a little, either way, and let it settle.');
  await open();
  await expect.poll(() => text('gap'), PATIENT).toMatch(/\d/);
  server.sending = false;
  server.scene.source = {
    ...server.scene.source,
    link: 'lost',
    errorCode: 'source-unplugged',
    sentence: 'The board is gone. Put the cable back in; measuring goes on by itself.',
  };
  server.publish({ type: 'event', event: 'source', source: server.scene.source });
  await expect
    .poll(() => page.getByTestId('trouble').textContent(), PATIENT)
    .toContain('Put the cable back in');
  await expect.poll(() => text('gap'), PATIENT).toBe('–');
  expect(await page.getByTestId('next-move').count()).toBe(0);
});

test('a tablet that was asleep shows nothing of before, and goes on when it is awake', async () => {
  server.scene.gapsKpa = [2, -2, 0, 0];
  await open();
  await expect.poll(() => text('gap'), PATIENT).toMatch(/^4\./);
  const devtools = await page.context().newCDPSession(page);
  await devtools.send('Page.setWebLifecycleState', { state: 'frozen' });
  server.sending = false;
  server.scene.gapsKpa = [0.5, -0.5, 0, 0];
  server.scene.plannedCapture = null;
  await page.waitForTimeout(1_500);
  await devtools.send('Page.setWebLifecycleState', { state: 'active' });
  await expect.poll(() => text('gap'), PATIENT).toBe('–');
  server.sending = true;
  await expect.poll(() => text('gap'), PATIENT).toMatch(/^1\.0/);
});

test('a page loaded again in the middle of a capture knows of it, and of screen, unit and set-up', async () => {
  server.scene.advice = adviceOf('Closer: turn the screw between 1 and 2 back, only a touch.');
  await open({ hash: 'far' });
  await page.keyboard.press('v');
  await page.getByTestId('unit').selectOption('mbar');
  await page.getByTestId('capture-before').click();
  await page.getByTestId('capture-stop').waitFor();
  server.scene.setup = { ...server.scene.setup, toleranceKpa: 2 };
  await page.reload();
  await page.getByTestId('capture-stop').waitFor();
  await expect.poll(() => page.locator('.gap-unit').textContent(), PATIENT).toBe('mbar');
  await expect.poll(() => text('next-move'), PATIENT).toContain('only a touch');
  await page.getByTestId('capture-stop').click();
  await expect.poll(() => server.captures[0]?.state, PATIENT).toBe('complete');
});
