import { expect, test } from 'vitest';
import { open, page, screenTests, server } from './screen-tests.ts';

screenTests(async () => {
  await open();
  await expect.poll(() => text('gap')).toMatch(/\d/);
});

const text = async (id: string) => (await page.getByTestId(id).textContent())?.trim() ?? '';

test('a reading that is a second old is no reading: a dash and a sentence, and it comes back by itself', async () => {
  server.sending = false;
  await expect.poll(() => text('gap'), { timeout: 2_500 }).toBe('–');
  expect(await text('idle-speed')).toBe('–');
  expect(await text('cyl-1-vacuum')).toBe('–');
  expect(await page.locator('.rail .rail-plate').count()).toBe(0);
  await expect
    .poll(() => text('trouble'))
    .toBe('No reading for a second. Figures come back with the next samples.');
  server.sending = true;
  await expect.poll(() => text('gap'), { timeout: 2_000 }).toMatch(/\d/);
  await expect.poll(() => page.getByTestId('trouble').count()).toBe(0);
});

test('the program going away is said, and the page finds it again when it is back', async () => {
  const port = Number(new URL(server.address).port);
  await server.stop();
  await expect.poll(() => text('gap'), { timeout: 3_000 }).toBe('–');
  expect(await text('source-state')).toBe('No connection to the program');
  await expect.poll(() => text('trouble')).toContain('tried again by itself');
  await server.start(port);
  await expect.poll(() => text('gap'), { timeout: 12_000 }).toMatch(/\d/);
  expect(await text('source-state')).toContain('live');
});

test('a program that was started anew is taken as it is: nothing of the old one stays', async () => {
  server.addCapture({ label: 'before' });
  server.publishAll();
  await expect.poll(() => page.getByTestId('capture-list').count()).toBe(1);
  server.captures = [];
  server.scene.setup.cylinders = 2;
  server.scene.gapsKpa = [1, -1];
  server.scene.sensors = ['ok', 'ok'];
  await server.restart('start-2');
  await expect.poll(() => page.locator('.cylinder-table tbody tr').count(), { timeout: 12_000 }).toBe(2);
  expect(await page.getByTestId('capture-list').count()).toBe(0);
  await expect.poll(() => page.locator('.rail .rail-plate').count()).toBe(2);
});

test('a page that comes back into sight connects at once instead of waiting its turn', async () => {
  const port = Number(new URL(server.address).port);
  await server.stop();
  // Long enough that the waits have grown to seconds.
  await page.waitForTimeout(4_000);
  await server.start(port);
  await page.evaluate(`window.dispatchEvent(new Event('online'))`);
  await expect.poll(() => text('gap'), { timeout: 1_500 }).toMatch(/\d/);
});

test('one screen too many is told so, and gets its turn when there is room', async () => {
  server.crowded = true;
  await server.restart('start-1');
  await expect.poll(() => text('trouble'), { timeout: 6_000 }).toContain('Too many screens are connected.');
  server.crowded = false;
  await expect.poll(() => text('gap'), { timeout: 12_000 }).toMatch(/\d/);
  await expect.poll(() => page.getByTestId('trouble').count()).toBe(0);
});

test('a message that is none harms nothing', async () => {
  server.sendRaw('{"type":"tea"}');
  server.sendRaw('not json');
  server.sendRaw(
    JSON.stringify({ type: 'hello', liveVersion: 99, serverStartId: 'start-9', softwareVersion: '9' }),
  );
  await page.getByText('This page is of another version than the program.').waitFor();
});
