import { describe, expect, test } from 'vitest';
import { axeViolations } from './axe.ts';
import { adviceOf, practiceScene } from './fake-scene.ts';
import { SCREENS } from './open-page.ts';
import { open, page, screenTests, server } from './screen-tests.ts';

const SENTENCE = 'Closer: turn the screw between 1 and 2 the same way, about half as much again.';
const REMINDER = 'Balancing has raised the idle speed: bring it back down with the idle screw.';
const CABLES = adviceOf('Equal at idle: now hold a raised, steady speed to look at the cables.', {
  state: 'other-point',
  points: [
    { id: 'idle', toleranceKpa: 1, fromRpm: 0, toRpm: 1650, equal: true },
    { id: 'raised', toleranceKpa: 2, fromRpm: 1980, toRpm: 4950, equal: false },
  ],
});

screenTests();

const words = (id: string) => page.getByTestId(id).first().textContent();
const count = (id: string) => page.getByTestId(id).count();

describe('the next move', () => {
  test('stands on the bench and in the far-view, is read aloud, and goes when it cannot be told', async () => {
    server.scene.advice = adviceOf(SENTENCE);
    await open();
    await expect.poll(() => words('next-move')).toBe(SENTENCE);
    await expect.poll(() => words('spoken'), { timeout: 10_000 }).toContain(SENTENCE);
    await page.getByTestId('far-view').click();
    await expect.poll(() => words('next-move')).toBe(SENTENCE);
    server.scene.advice = adviceOf(null);
    await expect.poll(() => count('next-move')).toBe(0);
    server.scene.advice = adviceOf(SENTENCE);
    await expect.poll(() => count('next-move')).toBe(1);
    server.sending = false;
    await expect.poll(() => count('next-move'), { timeout: 15_000 }).toBe(0);
  });

  test('the idle speed that balancing has moved is called back, on the bench, far and aloud', async () => {
    server.scene.idleRpm = 1240;
    server.scene.advice = adviceOf(null, { idle: { state: 'high', sentence: REMINDER } });
    await open();
    await expect.poll(() => words('idle-reminder')).toBe(REMINDER);
    await expect.poll(() => words('spoken'), { timeout: 10_000 }).toContain(REMINDER);
    await page.getByTestId('far-view').click();
    await expect.poll(() => words('idle-reminder')).toBe(REMINDER);
  });
});

describe('two balance points', () => {
  test('are shown with their bands, the one that is done and the one at which the engine runs', async () => {
    server.scene.advice = CABLES;
    await open();
    await expect
      .poll(() => words('point-idle'))
      .toBe('Idle, stop screwsband ±1.00 kPa, equal, running here now');
    expect(await words('point-raised')).toBe('2000 to 4950 r/min, cablesband ±2.00 kPa, not equal yet');
    server.scene.advice = { ...CABLES, point: 'raised', toleranceKpa: 2 };
    await expect.poll(() => words('point-raised')).toContain('running here now');
    await expect.poll(() => page.locator('.rail-ends').textContent()).toContain('±2.00 kPa');
    expect(await axeViolations(page)).toEqual([]);
  });

  test.each(Object.keys(SCREENS) as (keyof typeof SCREENS)[])(
    'leave the gap in sight on a %s screen',
    async (screen) => {
      server.scene.advice = CABLES;
      await open({ screen, hash: 'far' });
      await expect.poll(() => count('next-move')).toBe(1);
      await page.waitForSelector('.rail-plate');
      expect(
        (await page.getByTestId('gap').boundingBox())!.height / SCREENS[screen].height,
      ).toBeGreaterThanOrEqual(0.18);
      expect(await page.evaluate('document.documentElement.scrollHeight <= innerHeight')).toBe(true);
    },
  );
});

describe('the linkage in the set-up', () => {
  test('offers what a set of so many cylinders can have, and sends what was chosen', async () => {
    await open({ hash: 'setup' });
    const choice = page.getByRole('group', { name: 'Balance screws' });
    expect(
      await choice.getByRole('radio').evaluateAll((all) => all.map((one) => one.getAttribute('value'))),
    ).toEqual(['usual', 'rack-of-four', 'base-and-screws', 'stops-and-cables', 'own-matrix', 'none']);
    expect(await choice.getByRole('radio', { name: 'The usual' }).isChecked()).toBe(true);
    await choice.getByRole('radio', { name: 'A screw for each cylinder but one' }).check();
    await page
      .getByRole('group', { name: 'Cylinder without a screw of its own' })
      .getByRole('radio', { name: '3' })
      .check();
    await expect.poll(() => server.scene.setup.linkage).toEqual({ kind: 'base-and-screws', base: 3 });
    await choice.getByRole('radio', { name: 'A stop screw and a cable for each cylinder' }).check();
    await page.getByLabel('Raised speed to hold').fill('3000');
    await page.keyboard.press('Enter');
    await page.getByLabel('Tolerance at the raised speed').fill('2');
    await page.keyboard.press('Enter');
    await expect
      .poll(() => server.scene.setup)
      .toMatchObject({
        linkage: { kind: 'stops-and-cables' },
        raisedTargetRpm: 3000,
        raisedToleranceKpa: 2,
      });
  });

  test('takes screws of one’s own, with a name and an effect on every cylinder', async () => {
    server.scene = practiceScene(2);
    await open({ hash: 'setup', screen: 'phone' });
    await page.getByRole('radio', { name: 'My own' }).check();
    await page.getByTestId('own-screw-1').fill('left link');
    await page.getByTestId('own-screw-1-cyl-1').selectOption('-1');
    await page.getByTestId('own-screw-1-cyl-2').selectOption('1');
    expect(await axeViolations(page)).toEqual([]);
    await page.getByTestId('own-screws-take').click();
    await expect
      .poll(() => server.scene.setup.linkage)
      .toEqual({
        kind: 'own-matrix',
        screws: [{ name: 'left link', point: 'idle', opens: [-1, 1] }],
      });
  });
});

describe('a capture that starts and ends by itself', () => {
  test('is asked for, says what it waits for, counts down, and is called off', async () => {
    await open({ screen: 'phone' });
    await page.getByTestId('capture-time').selectOption('equal');
    await page.getByTestId('capture-after').click();
    await expect.poll(() => words('planned-capture')).toBe('Waits until all are equal and steady.');
    expect(server.asked.at(-1)).toEqual({
      path: '/api/captures/planned',
      body: { label: 'after', when: 'equal' },
    });
    server.scene.plannedCapture = { ...server.scene.plannedCapture!, startsInS: 1.3 };
    await expect.poll(() => words('planned-capture')).toBe('Starts in 2 s if nothing moves.');
    server.scene.plannedCapture = {
      ...server.scene.plannedCapture,
      phase: 'recording',
      startsInS: null,
      expandedKpa: 0.412,
      endsWithinS: 41.2,
    };
    await expect
      .poll(() => words('planned-capture'))
      .toBe('Ends by itself at ±\u20090.25 kPa, in 42 s at the latest. Now ±\u20090.41.');
    server.scene.plannedCapture = { ...server.scene.plannedCapture, phase: 'waiting' };
    await page.getByTestId('capture-drop').click();
    await expect.poll(() => count('planned-capture')).toBe(0);
    // The key does the same, and the choice is remembered.
    await page.keyboard.press('b');
    await expect.poll(() => count('planned-capture')).toBe(1);
    await page.keyboard.press('x');
    await expect.poll(() => count('planned-capture')).toBe(0);
    expect(await axeViolations(page)).toEqual([]);
  });
});
