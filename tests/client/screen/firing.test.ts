import { expect, test } from 'vitest';
import type { Job } from '../../../server/contract/jobs-views.ts';
import { axeViolations } from './axe.ts';
import { practiceScene } from './fake-scene.ts';
import { open, page, screenTests, server } from './screen-tests.ts';

screenTests();

const choose = (name: string) => page.getByRole('radio', { name, exact: true }).check();
const told = () => server.scene.setup.firing;

/** Of an invented machine; the page reads no more of it than this. */
function jobOf(machine: Partial<Job['machine']>): Job {
  const blank = { make: 'Kestrel', model: 'Tourer', year: 1996, cylinders: 2, layout: '', firing: '' };
  return { machine: { ...blank, ...machine } } as Job;
}

test('an uneven twin counts only when it is told which way round it fires', async () => {
  server.scene = practiceScene(2);
  await open({ screen: 'phone', hash: 'setup' });
  await choose('Parallel twin, 270° crank');
  await page.getByRole('group', { name: 'After cylinder 1, cylinder 2 fires' }).waitFor();
  expect(told()).toBeUndefined();
  await choose('450° later');
  await expect.poll(told).toEqual({ kind: 'twin-450-270' });
  // Another layout begun: what was said of the one before holds no longer.
  await choose('V-twin, one crank pin');
  await expect.poll(told).toEqual({ kind: 'not-known' });
  await page.getByLabel('Angle between the cylinders, degrees').fill('52');
  await page.getByLabel('Angle between the cylinders, degrees').press('Enter');
  await choose('308° later');
  await expect.poll(told).toEqual({ kind: 'v-twin', vAngleDeg: 52, second: 'sooner' });
  expect(await axeViolations(page)).toEqual([]);
});

test('order and gaps that cannot be are said under the fields and change nothing', async () => {
  await open({ hash: 'setup' });
  await choose('V-four or other: type order and gaps');
  await page.getByLabel('Firing order', { exact: true }).fill('1-3-2');
  await page.getByLabel('Degrees from each to the next').fill('180, 270, 180, 90');
  const wrong = page.locator('#own-firing-note.field-wrong');
  await page.getByTestId('own-firing-take').click();
  await expect.poll(() => wrong.textContent()).toContain('Name each cylinder from 1 to 4 once');
  await page.getByLabel('Firing order', { exact: true }).fill('1 3 2 4');
  await page.getByLabel('Degrees from each to the next').fill('180, 270, 180, 100');
  await page.getByTestId('own-firing-take').click();
  await expect.poll(() => wrong.textContent()).toContain('make 730° together');
  expect(told()).toBeUndefined();
  expect(await axeViolations(page)).toEqual([]);
  await page.getByLabel('Degrees from each to the next').fill('180, 270, 180, 90');
  await page.getByTestId('own-firing-take').click();
  await expect.poll(told).toEqual({ kind: 'own', order: [1, 3, 2, 4], gapsDeg: [180, 270, 180, 90] });
});

test('what the machine of the job on the bench is said to be is offered, and taken with one tap', async () => {
  server.scene = practiceScene(2);
  server.scene.setup.benchVisitId = 'visit-1';
  server.job = jobOf({ layout: 'parallel twin', firing: '270-450' });
  await open({ hash: 'setup' });
  await page.getByText('parallel twin, 270-450').waitFor();
  await page.getByTestId('firing-of-machine').click();
  await expect.poll(told).toEqual({ kind: 'twin-270-450' });
  await page.getByTestId('firing-of-machine').waitFor({ state: 'detached' });
});

test('words of the record that leave something open are shown and nothing is made of them', async () => {
  server.scene.setup.benchVisitId = 'visit-1';
  server.job = jobOf({ cylinders: 4, layout: 'V-four', firing: '' });
  await open({ hash: 'setup' });
  await page.getByText('V-four.').waitFor();
  expect(await page.getByTestId('firing-of-machine').count()).toBe(0);
});

test('a practice hose is swapped with one choice', async () => {
  await open();
  await page.getByTestId('swap-hoses').selectOption('2-4');
  await expect.poll(() => server.scene.practice.swappedHoses).toEqual([2, 4]);
  await page.getByTestId('swap-hoses').selectOption('');
  await expect.poll(() => server.scene.practice.swappedHoses).toBeNull();
});
