import { describe, expect, test } from 'vitest';
import { boardScene, practiceScene, settledGapsKpa } from './fake-scene.ts';
import { open, page, screenTests, server } from './screen-tests.ts';

screenTests();

const text = async (id: string) => (await page.getByTestId(id).textContent())?.trim() ?? '';
const number = async (id: string) => Number((await text(id)).replace('\u2212', '-'));
const kpa = async (id: string) => Number(await page.getByTestId(id).getAttribute('data-kpa'));

describe('figures', () => {
  test('what the program says stands on the screen', async () => {
    await open();
    server.runAhead(20);
    await expect.poll(() => kpa('gap')).toBeCloseTo(4.3, 1);
    expect(await number('gap')).toBeCloseTo(4.3, 1);
    expect(await text('gap-uncertainty')).toBe('±\u20090.21');
    expect(await text('settling')).toBe('steady');
    expect(await text('verdict')).toBe('Not equal yet');
    expect(await text('idle-speed')).toBe('1130');
    expect(await text('roughness-score')).toBe('24');
    const gaps = settledGapsKpa(server.scene);
    for (const [cyl, gap] of gaps.entries()) {
      await expect.poll(() => kpa(`cyl-${cyl + 1}-gap`)).toBeCloseTo(gap, 2);
      await expect.poll(() => kpa(`cyl-${cyl + 1}-vacuum`)).toBeCloseTo(31.4 + gap, 2);
    }
  });

  test('a lost sensor is a dash and a sentence, and has no marker', async () => {
    await open();
    await page.waitForSelector('.rail-plate');
    server.scene.sensors[2] = 'open-to-air';
    await expect.poll(() => text('cyl-3-gap')).toBe('–');
    expect(await page.locator('.sentence-row', { hasText: 'the hose has come off' }).isVisible()).toBe(true);
    expect(await page.locator('.rail .rail-plate-number').allTextContents()).toEqual(['1', '2', '4']);
  });

  test('a lost sensor is said in the far-view too', async () => {
    server.scene.sensors[2] = 'blocked';
    await open({ hash: 'far' });
    await expect.poll(() => page.locator('.sensor-notes').textContent()).toContain('hose or port blocked');
    server.scene.sensors[2] = 'ok';
    await expect.poll(() => page.locator('.sensor-notes').count()).toBe(0);
  });

  test('a stopped engine shows no figure at all', async () => {
    await open();
    server.scene.running = false;
    for (const id of ['gap', 'idle-speed', 'roughness-score', 'cyl-1-vacuum'])
      await expect.poll(() => text(id)).toBe('–');
    expect(await text('gap-uncertainty')).toBe('');
    expect(await text('verdict')).toBe('No reading');
  });

  test('without advice there is no next move', async () => {
    await open();
    expect(await page.getByTestId('next-move').count()).toBe(0);
  });
});

describe('units', () => {
  test('another unit is on every figure at once, and on the next visit', async () => {
    await open();
    server.runAhead(20);
    await expect.poll(() => kpa('gap')).toBeCloseTo(4.3, 1);
    await page.getByTestId('unit').selectOption('inHg');
    const shownKpa = (await kpa('cyl-1-vacuum')) / 3.386389;
    expect(await number('cyl-1-vacuum')).toBeCloseTo(shownKpa, 1);
    expect(await number('gap')).toBeCloseTo((await kpa('gap')) / 3.386389, 1);
    expect(await page.locator('.gap-unit').textContent()).toBe('inHg');
    expect(await page.locator('.rail-ends').textContent()).toContain('±0.30 inHg');
    await page.reload();
    await page.waitForSelector('.rail-plate');
    expect(await page.locator('.gap-unit').textContent()).toBe('inHg');
  });
});

describe('practice', () => {
  test('the band says so on every screen, and a real board has none', async () => {
    await open();
    for (const hash of ['bench', 'far', 'pulses', 'captures', 'setup']) {
      await page.evaluate(`location.hash = '${hash}'`);
      expect(await text('practice-band')).toBe('Practice bench: simulated engine, not yours');
    }
    server.scene = boardScene();
    server.publishAll();
    await expect.poll(() => page.getByTestId('practice-band').count()).toBe(0);
    await page.evaluate(`location.hash = 'bench'`);
    expect(await page.getByTestId('screw-1-more').count()).toBe(0);
    expect(await text('source-state')).toBe('Board, live, 4 channels, 500 samples/s');
  });

  test('quick presses of a screw add up and none is lost', async () => {
    await open();
    for (let press = 0; press < 7; press++)
      await page.getByTestId('screw-2-more').click({ noWaitAfter: true });
    await page.getByTestId('screw-2-less-large').click();
    await page.getByTestId('screw-1-less').click();
    await page.getByTestId('idle-screw-more').click();
    await expect
      .poll(() => server.scene.practice.balanceScrews.map(({ turns }) => turns))
      .toEqual([-0.05, 0.1, 0]);
    await expect.poll(() => server.scene.practice.idleScrewTurns).toBe(1.55);
    expect(
      await page
        .getByRole('spinbutton', { name: 'Balance screw between 3 and 4' })
        .getAttribute('aria-valuetext'),
    ).toBe('0.10 in');
  });

  test('faults, engine and throttle', async () => {
    await open();
    await page.getByTestId('leak-2').selectOption('1');
    await page.getByTestId('misses-3').selectOption('0.2');
    await page.getByTestId('diaphragm-4').click();
    await page.getByTestId('hose-1').click();
    await expect.poll(() => server.scene.practice.hoseOff).toEqual([true, false, false, false]);
    expect([await text('hose-1'), await text('hose-2'), await text('diaphragm-4')]).toEqual([
      'off',
      'on',
      'torn',
    ]);
    expect(server.scene.practice.leakMm).toEqual([0, 1, 0, 0]);
    expect(server.scene.practice.missedFiring).toEqual([0, 0, 0.2, 0]);
    expect(server.scene.practice.tornDiaphragm).toEqual([false, false, false, true]);
    await page.getByTestId('practice-blip').click();
    await page.getByTestId('practice-running').click();
    await expect.poll(() => server.scene.practice.running).toBe(false);
    expect(server.asked.some(({ path }) => path === '/api/practice/blip')).toBe(true);
    await page.getByTestId('practice-layout').selectOption('twin-360');
    await expect.poll(() => server.scene.practice.layout).toBe('twin-360');
  });
});

describe('captures', () => {
  test('before and after are started, stopped and compared', async () => {
    await open();
    server.runAhead(20);
    await page.getByTestId('capture-before').click();
    await page.getByTestId('capture-stop').click();
    server.scene.gapsKpa = [0.1, -0.1, 0, 0];
    await page.getByTestId('capture-after').click();
    await page.getByTestId('capture-stop').click();
    await expect.poll(() => page.getByTestId('capture-list').locator('li').count()).toBe(2);
    expect(server.captures.map(({ label, state }) => `${label} ${state}`)).toEqual([
      'after complete',
      'before complete',
    ]);
    await page.getByRole('button', { name: 'Compare before and after' }).click();
    expect(await text('comparison')).toBe('The gap is smaller, by more than its uncertainty.');
    expect(await page.locator('.main-row td').allTextContents()).toEqual([
      '4.30 ±\u20090.20',
      '0.20 ±\u20090.20',
      '\u22124.10 ±\u20090.28',
    ]);
    expect(await page.getByRole('link', { name: 'CSV' }).first().getAttribute('href')).toContain(
      'api/captures/capture-2/samples.csv',
    );
  });

  test('a refusal is said as a sentence with what to do, until it is put away', async () => {
    await open();
    server.refusal = {
      code: 'capture-not-saved',
      message: 'The capture could not be written to disk.',
      whatToDo: 'Make room.',
    };
    await page.getByTestId('capture-before').click();
    await expect
      .poll(() => page.getByTestId('notice').textContent())
      .toContain('could not be written to disk. Make room.');
    await page.getByRole('button', { name: 'OK' }).click();
    expect(await page.getByTestId('notice').count()).toBe(0);
  });

  test('without a live board there is nothing to capture', async () => {
    await open();
    server.scene.source = {
      ...server.scene.source,
      link: 'lost',
      sentence: 'The cable is out.',
      errorCode: 'source-unplugged',
    };
    server.publishAll();
    await expect.poll(() => page.getByTestId('capture-before').isDisabled()).toBe(true);
    expect(await text('source-state')).toContain('connection lost');
    await expect.poll(() => text('trouble')).toBe('The cable is out.');
  });
});

describe('set-up', () => {
  test('a change counts at once, in the unit that is shown', async () => {
    await open({ hash: 'setup' });
    await page.getByRole('radio', { name: 'Two-stroke' }).check();
    await expect.poll(() => server.scene.setup.strokes).toBe(2);
    await page.getByRole('radio', { name: 'mmHg' }).check();
    await page.getByLabel('Tolerance, either side of the reference, mmHg').fill('20');
    await page.keyboard.press('Enter');
    await expect.poll(() => server.scene.setup.toleranceKpa).toBeCloseTo(2.66645, 4);
    await page.getByLabel('Idle speed, r/min').fill('');
    await page.keyboard.press('Tab');
    await expect.poll(() => server.scene.setup.idleTargetRpm).toBeNull();
  });

  test('what cannot be is said beside the field and sent to nobody', async () => {
    await open({ hash: 'setup' });
    await page.getByLabel('Idle speed, r/min').fill('90');
    await page.keyboard.press('Tab');
    expect(await page.locator('#idle-target-note').textContent()).toBe('Enter a number from 200 to 5000.');
    expect(server.asked).toEqual([]);
  });
});

describe('the screen as a tool', () => {
  test('frozen, it says since when and holds; going on, it shows the present', async () => {
    await open();
    server.runAhead(20);
    await expect.poll(() => text('gap')).toBe('4.30');
    await page.getByTestId('freeze').click();
    server.scene.gapsKpa = [0.1, -0.1, 0, 0];
    server.runAhead(20);
    await page.waitForTimeout(400);
    expect(await text('gap')).toBe('4.30');
    expect(await text('frozen-band')).toMatch(/^Frozen at \d\d:\d\d:\d\d\./);
    await page.getByRole('button', { name: 'Go on' }).click();
    await expect.poll(() => text('gap')).toBe('0.20');
    await page.getByTestId('freeze').click();
    await server.restart('start-2');
    await expect.poll(() => page.getByTestId('frozen-band').count(), { timeout: 12_000 }).toBe(0);
    await expect.poll(() => text('gap')).toBe('0.20');
    expect(await text('verdict')).toBe('Equal');
  });

  test('the cautions are shown at the first start, once, and stay one tap away', async () => {
    await open({ cautionsSeen: false });
    const dialog = page.getByRole('dialog', { name: 'Before the engine runs' });
    await dialog.waitFor();
    for (const word of [
      'carbon monoxide',
      'Secure the machine',
      'belts',
      'Hot parts',
      'Ground the plug lead',
      'starting fluid',
      'service data',
    ]) {
      expect(await dialog.textContent()).toContain(word);
    }
    await page.getByTestId('cautions-close').click();
    await page.reload();
    await page.waitForSelector('.rail-plate');
    expect(await page.locator('dialog[open]').count()).toBe(0);
    await page.getByTestId('cautions').click();
    await dialog.waitFor();
  });

  test('it follows the system’s theme until one is chosen, and remembers that', async () => {
    await open({ theme: 'dark' });
    const ground = () => page.evaluate('getComputedStyle(document.body).backgroundColor');
    expect(await ground()).toBe('rgb(12, 15, 18)');
    await page.emulateMedia({ colorScheme: 'light' });
    await expect.poll(ground).toBe('rgb(255, 255, 255)');
    await page.keyboard.press('t');
    await expect.poll(ground).toBe('rgb(12, 15, 18)');
    await page.reload();
    expect(await ground()).toBe('rgb(12, 15, 18)');
  });

  test('a person who wants less movement gets no tails', async () => {
    await open({ context: { reducedMotion: 'reduce' } });
    await page.waitForSelector('.rail-plate');
    await page.waitForTimeout(700);
    expect(await page.locator('.rail line[opacity]').count()).toBe(0);
  });

  test('a screen reader hears the gap, and not more often than it can be listened to', async () => {
    await open();
    await expect
      .poll(() => text('spoken'))
      .toMatch(/^Not equal yet\. Gap [\d.]+ kilopascals, steady\. Cylinder 1 pulls most, 4 least\.$/);
    const heard = new Set<string>();
    for (let i = 0; i < 15; i++) {
      server.scene.gapsKpa = [1.9 + i / 4, -1.1, 0.35, -2.4];
      heard.add(await text('spoken'));
      await page.waitForTimeout(100);
    }
    expect(heard.size).toBeLessThanOrEqual(2);
  });

  test('everything is reached and done by keyboard alone', async () => {
    server.scene = practiceScene();
    await open();
    await page.keyboard.press('?');
    await page.getByRole('dialog', { name: 'Keys' }).waitFor();
    await page.keyboard.press('v');
    expect(await page.evaluate('location.hash')).toBe('#bench');
    await page.keyboard.press('Escape');
    await page.keyboard.press('u');
    expect(await page.locator('.gap-unit').textContent()).toBe('inHg');
    await page.keyboard.press('b');
    await page.getByTestId('capture-stop').waitFor();
    await page.keyboard.press('x');
    await expect.poll(() => server.captures[0]?.state).toBe('complete');
    await page.keyboard.press('v');
    await expect.poll(() => page.locator('.far').count()).toBe(1);
    await page.keyboard.press('v');
    await page.keyboard.press('p');
    await page.getByTestId('frozen-band').waitFor();
    await page.keyboard.press('p');
    await page.keyboard.press('4');
    await page.getByRole('heading', { name: 'Set-up' }).waitFor();
    await page.keyboard.press('1');

    const seen: string[] = [];
    const focused = `(document.activeElement.getAttribute('data-testid') ?? document.activeElement.getAttribute('aria-label') ?? document.activeElement.tagName)`;
    for (let i = 0; i < 60 && !seen.includes('hose-4'); i++) {
      await page.keyboard.press('Tab');
      seen.push(await page.evaluate(focused));
    }
    for (const id of [
      'tab-bench',
      'far-view',
      'unit',
      'capture-before',
      'practice-layout',
      'screw-1-more',
      'idle-screw-less',
      'leak-1',
      'hose-4',
    ]) {
      expect(seen, 'reached by Tab').toContain(id);
    }
    await page.getByRole('spinbutton', { name: 'Idle screw' }).focus();
    await page.keyboard.press('ArrowRight');
    await page.keyboard.press('PageUp');
    await page.keyboard.press('ArrowDown');
    await expect.poll(() => server.scene.practice.idleScrewTurns).toBe(1.75);
  });

  test('the ear cue is one tap, says what it compares, and keeps its volume', async () => {
    await open({ hash: 'setup' });
    const panel = page.getByRole('group', { name: 'Ear cue' });
    expect(await panel.textContent()).toContain('headphones');
    await page.getByTestId('sound').click();
    await expect.poll(() => panel.textContent()).toContain('Cylinder 1 on the left against 4 on the right.');
    server.scene.gapsKpa = [0.1, 0, 0, -0.1];
    await expect.poll(() => panel.textContent()).toContain('Steady: equal.');
    server.scene.running = false;
    await expect.poll(() => panel.textContent()).toContain('Silent: there is nothing to compare.');
    await page.getByLabel('Volume').fill('0.25');
    await panel.getByRole('button', { name: 'Mute' }).click();
    expect(await page.getByTestId('sound').getAttribute('aria-pressed')).toBe('false');
    await page.reload();
    expect(await page.getByLabel('Volume').inputValue()).toBe('0.25');
  });

  test('while a board is live the screen is kept awake', async () => {
    await open({ hash: 'setup' });
    await page.getByText('The screen is being kept awake.').waitFor();
    server.scene.source = { ...server.scene.source, link: 'lost' };
    server.publishAll();
    await page.getByText('The screen is kept awake while a board is live.').waitFor();
  });

  test('full screen and back', async () => {
    await open();
    await page.keyboard.press('f');
    await expect.poll(() => page.evaluate('document.fullscreenElement !== null')).toBe(true);
    await page.keyboard.press('f');
    await expect.poll(() => page.evaluate('document.fullscreenElement === null')).toBe(true);
  });

  test('single keys can be switched off', async () => {
    await open({ hash: 'setup' });
    await page.getByLabel('Single keys work as shortcuts').uncheck();
    await page.locator('h1').click();
    await page.keyboard.press('u');
    await page.keyboard.press('v');
    expect(await page.evaluate('location.hash')).toBe('#setup');
  });
});
