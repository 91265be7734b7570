import { expect, test } from 'vitest';
import { KEY_MAP } from '../../../client/keys/key-map.ts';
import { open, page, screenTests, server } from './screen-tests.ts';

screenTests(() => {
  server.scene.gapsKpa = [0, 1.9, 0, 0];
});

const press = (...keys: string[]) =>
  keys.reduce((before, key) => before.then(() => page.keyboard.press(key)), Promise.resolve());

test('before, a screw, after and the comparison: the whole sequence by keys alone', async () => {
  await open({ cautionsSeen: false });
  await page.waitForSelector('dialog[open]');
  await press('Escape');
  await press('b');
  await page.getByTestId('capture-stop').waitFor();
  await press('x');
  await page.getByTestId('capture-before').waitFor();
  await press('v');
  await page.waitForSelector('.far');
  await press('v', 'n');
  const focused = () => page.evaluate("document.activeElement.getAttribute('aria-label')");
  await expect.poll(focused).toBe('Balance screw between 1 and 2, turns');
  await press('PageUp', 'ArrowRight', 'ArrowRight', 'ArrowLeft');
  await expect.poll(() => server.scene.practice.balanceScrews[0]!.turns).toBe(0.3);
  await press('n');
  await expect.poll(focused).toBe('Balance screw between 3 and 4, turns');
  await expect.poll(() => page.getByTestId('verdict').getAttribute('data-verdict')).toBe('inside');
  await press('a');
  await page.getByTestId('capture-stop').waitFor();
  await press('x');
  await page.getByTestId('capture-after').waitFor();
  await press('3');
  await expect.poll(() => page.getByTestId('comparison').textContent()).toMatch(/^The gap is smaller/);
  expect(server.captures.map(({ label, state }) => `${label} ${state}`)).toEqual([
    'after complete',
    'before complete',
  ]);
});

test('from another screen the screws are one key away, and every key is in the list of keys', async () => {
  await open({ hash: 'captures' });
  await press('n');
  await expect.poll(() => page.evaluate("document.activeElement.getAttribute('role')")).toBe('spinbutton');
  await press('?');
  const shown = await page.locator('dialog kbd').allTextContents();
  for (const { key } of KEY_MAP) expect(shown).toContain(key.toUpperCase());
});

test('the gap is spoken when asked for, and no more when switched off', async () => {
  await open();
  // The voice itself belongs to the system; what it is given to say is ours.
  await page.evaluate(`{
    window.said = [];
    speechSynthesis.speak = (words) => window.said.push(words.text);
  }`);
  const said = () => page.evaluate<string[]>('window.said');
  await press('g');
  await expect.poll(said).toContainEqual(expect.stringMatching(/^\d\.\d kilopascals\.$/));
  server.scene.gapsKpa = [0, 0.1, 0, 0];
  await expect.poll(said, { timeout: 10_000 }).toContain('Equal.');
  await press('g');
  const before = (await said()).length;
  server.scene.settling = 'moving';
  await expect.poll(() => page.getByTestId('settling').getAttribute('data-settling')).toBe('moving');
  expect((await said()).length).toBe(before);
});
