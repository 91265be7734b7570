import { expect, test } from 'vitest';
import { open, page, screenTests, server } from './screen-tests.ts';

screenTests(async () => {
  await open();
  server.runAhead(20);
  await expect.poll(gapKpa).toBeCloseTo(OLD_KPA, 1);
});

const OLD_KPA = 4.3;
const NEW_KPA = 0.4;
const gapKpa = async () => Number((await page.getByTestId('gap').getAttribute('data-kpa')) || Number.NaN);
const text = async (id: string) => (await page.getByTestId(id).textContent())?.trim() ?? '';

/** From now on every picture that the page draws is noted: what the gap says, and when. */
const noteFrames = () =>
  page.evaluate(`(() => {
    window.frames_ = [];
    const note = () => {
      window.frames_.push([Date.now(), document.querySelector('[data-testid=gap]')?.textContent ?? '']);
      requestAnimationFrame(note);
    };
    requestAnimationFrame(note);
  })()`);

/** What the gap said in the pictures since then, each once. */
const shownSince = (sinceMs: number) =>
  page.evaluate<string[]>(
    `[...new Set(window.frames_.filter(([atMs]) => atMs >= ${sinceMs}).map(([, gap]) => gap))]`,
  );

/** The engine is adjusted while nobody can see it. */
function balance(): void {
  server.scene.gapsKpa = [NEW_KPA / 2, 0, 0, -NEW_KPA / 2];
}

/** No picture since then has shown what was before, and the new figure is there. */
async function onlyNewSince(sinceMs: number): Promise<void> {
  await expect.poll(gapKpa, { timeout: 12_000 }).toBeCloseTo(NEW_KPA, 1);
  for (const gap of await shownSince(sinceMs)) {
    if (gap !== '–') expect(Number(gap)).toBeLessThan(OLD_KPA / 2);
  }
}

// A browser without a window never sends a page to sleep, so the two events of the Page Lifecycle are made by hand.
test('a page that the browser puts to sleep shows no figure, and asks anew when it wakes', async () => {
  server.sending = false;
  await page.evaluate("document.dispatchEvent(new Event('freeze'))");
  await expect.poll(() => text('gap'), { timeout: 5_000 }).toBe('–');
  balance();
  expect(server.greetings).toBe(1);
  await page.evaluate("document.dispatchEvent(new Event('resume'))");
  await expect.poll(() => server.greetings).toBe(2);
  await expect.poll(() => text('gap'), { timeout: 5_000 }).toBe('–');
  server.sending = true;
  await expect.poll(gapKpa, { timeout: 12_000 }).toBeCloseTo(NEW_KPA, 1);
  await expect.poll(() => page.getByTestId('trouble').count()).toBe(0);
});

test('a page whose clock stood still takes nothing that waited in its socket', async () => {
  await noteFrames();
  balance();
  // Longer than a busy page ever takes: as a tablet whose lid was shut.
  await page.evaluate('{ const endMs = Date.now() + 6_000; while (Date.now() < endMs); }');
  const wokenAtMs = Date.now();
  await expect.poll(() => server.greetings).toBe(2);
  // The picture that was under way when the clock stopped may still come.
  await onlyNewSince(wokenAtMs + 300);
});

test('a lost network takes the figures off within a second, and they come back by themselves with it', async () => {
  await page.context().setOffline(true);
  for (const client of server.clients) client.terminate();
  await expect.poll(() => text('gap'), { timeout: 5_000 }).toBe('–');
  await expect.poll(() => text('source-state'), { timeout: 15_000 }).toBe('No connection to the program');
  balance();
  await noteFrames();
  // Long enough that the waits have grown to seconds.
  await new Promise((resolve) => setTimeout(resolve, 3_000));
  expect(await shownSince(0)).toEqual(['–']);
  await page.context().setOffline(false);
  await onlyNewSince(0);
  expect(await text('source-state')).toContain('live');
});

test('a reload in the middle of a capture finds it running and can stop it', async () => {
  await page.getByTestId('capture-before').click();
  await page.getByTestId('capture-stop').waitFor();
  await page.reload();
  await page.getByTestId('capture-stop').click();
  await expect.poll(() => server.captures[0]?.state).toBe('complete');
  expect(await page.getByTestId('capture-before').isEnabled()).toBe(true);
});

test('a reload in the countdown of a planned capture finds the countdown, and can call it off', async () => {
  await page.getByTestId('capture-time').selectOption('steady');
  await page.getByTestId('capture-before').click();
  await page.locator('[data-testid=planned-capture][data-phase=waiting]').waitFor();
  server.scene.plannedCapture = { ...server.scene.plannedCapture!, startsInS: 3 };
  await page.reload();
  const line = page.locator('[data-testid=planned-capture][data-phase=waiting]');
  await line.waitFor();
  expect(await line.textContent()).toContain('3');
  await page.getByTestId('capture-drop').click();
  await expect.poll(() => server.scene.plannedCapture).toBeNull();
  await line.waitFor({ state: 'detached' });
});
