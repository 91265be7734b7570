import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Download, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { NO_FIGURES } from '../../client/views/jobs/no-figures.ts';
import { tinyPng } from '../server/jobs/photo-fixture.ts';
import { DESKTOP, enter, noViolations, PATIENT, ShopScreens } from './shop-screens.ts';

interface JobAnswer {
  readonly entries: { readonly body: { readonly kind: string; text?: string; photoIds?: string[] } }[];
}

/** An invented job with a picture, taken along to another computer, and kept twice. */
describe('pictures and files of the job record', () => {
  let shop: ShopScreens;
  let page: Page;
  let visitId = '';
  let file = '';

  const finding = async () => {
    const { entries } = await shop.ask<JobAnswer>('GET', `visits/${visitId}`);
    return entries.find(({ body }) => body.kind === 'finding')?.body ?? null;
  };
  /** The code of what is said to have gone wrong. */
  const noticed = async (at: Page) => {
    const code = "document.querySelector('[data-testid=notice]')?.dataset.code ?? null";
    return at.evaluate<string | null>(code);
  };
  const png = { name: 'boot.png', mimeType: 'image/png', buffer: tinyPng };
  const addPhotos = () => page.locator('label.file-choice', { hasText: 'Add photos' }).locator('input');
  /** Of each picture whether it is really shown. */
  const seen = (selector: string) =>
    page.evaluate<boolean[]>(
      `[...document.querySelectorAll('${selector}')].map((image) => image.naturalWidth > 0)`,
    );

  async function download(at: Page, words: string): Promise<{ download: Download; text: string }> {
    // By the keyboard: a line that is saved meanwhile moves the page under the mouse.
    const [begun] = await Promise.all([at.waitForEvent('download'), at.getByText(words).press('Enter')]);
    return { download: begun, text: readFileSync(await begun.path(), 'utf8') };
  }

  beforeAll(async () => {
    shop = await ShopScreens.open();
    page = await shop.newPage(DESKTOP);
    const machine = await shop.ask<{ id: string }>('POST', 'machines', {
      ownerId: null,
      make: 'Home-built',
      model: 'twin',
      year: null,
      frameNumber: '',
      plate: null,
      cylinders: 2,
      layout: '',
      firing: '',
      throttleLinkage: '',
      service: NO_FIGURES,
      notes: '',
      practice: false,
    });
    const visit = await shop.ask<{ id: string }>('POST', 'visits', {
      machineId: machine.id,
      day: '2024-05-31',
      complaint: 'Hangs at 3000 when warm',
      odometer: null,
      technician: '',
    });
    visitId = visit.id;
    await page.goto(`${shop.service.url}/#jobs/job/${visitId}`);
  }, 120_000);

  afterAll(() => shop?.close());

  test('a picture is added to a finding, and takes back nothing that is typed while it is on its way', async () => {
    await page.fill('#new-finding', 'Boot 2 is torn');
    await page.getByTestId('add-finding').click();
    const text = page.locator('[id^="finding-"]').first();
    await text.waitFor();
    let arrive = (): void => {};
    const waits = new Promise<void>((resolve) => {
      arrive = resolve;
    });
    await page.route('**/api/photos', async (route) => {
      await waits;
      await route.continue();
    });
    await addPhotos().setInputFiles(png);
    await page.getByText('Adding').waitFor();
    await text.fill('Boot 2 is torn, clamp gone');
    arrive();
    await expect.poll(finding, PATIENT).toMatchObject({
      text: 'Boot 2 is torn, clamp gone',
      photoIds: [expect.stringMatching(/^[0-9a-f]{64}$/)],
    });
    await page.unroute('**/api/photos');
    await expect.poll(() => seen('.photos img'), PATIENT).toEqual([true]);
    await noViolations(page, 'a job with a picture');
    const { photoIds } = (await finding())!;
    const kept = await fetch(`${shop.service.url}/api/photos/${photoIds![0]}`);
    expect(Buffer.from(await kept.arrayBuffer())).toEqual(tinyPng);
  });

  test('what is no picture is refused in words, and does not hide that the others came in', async () => {
    const none = { name: 'list.txt', mimeType: 'text/plain', buffer: Buffer.from('no picture') };
    const other = { ...png, name: 'clamp.jpg', mimeType: '', buffer: Buffer.concat([tinyPng, tinyPng]) };
    await addPhotos().setInputFiles([none, other]);
    await expect.poll(() => noticed(page), PATIENT).toBe('photo-unreadable');
    await expect.poll(async () => (await finding())?.photoIds?.length, PATIENT).toBe(2);
    // The same file once more: a picture is kept once, and the refusal is gone.
    await addPhotos().setInputFiles([other]);
    await expect.poll(() => noticed(page), PATIENT).toBeNull();
    expect((await finding())?.photoIds).toHaveLength(2);
  });

  test('a job is one file with its pictures, and its report another that needs nothing else', async () => {
    const job = await download(page, 'Whole job as a file');
    expect(job.download.suggestedFilename()).toMatch(/^idlewright-job-.*\.json$/);
    const document = JSON.parse(job.text) as { format: string; records: { kind: string; base64?: string }[] };
    expect(document.format).toBe('idlewright-records');
    const kinds = document.records.map(({ kind }) => kind);
    expect(kinds).toEqual(expect.arrayContaining(['machine', 'visit', 'entry', 'photo', 'end']));
    const photos = document.records.flatMap(({ base64 }) => base64 ?? []);
    expect(photos).toContain(tinyPng.toString('base64'));
    const report = await download(page, 'Report as a file for e-mail');
    expect(report.download.suggestedFilename()).toBe('job-2024-05-31-report.html');
    expect(report.text).toContain('Boot 2 is torn, clamp gone');
    expect(report.text).toContain(`data:image/png;base64,${tinyPng.toString('base64')}`);
  });

  test('the shop’s logo is shown, printed, and taken away again', async () => {
    await page.goto(`${shop.service.url}/#jobs/shop`);
    await page.waitForSelector('#shop-name');
    await page.locator('label.file-choice', { hasText: 'Add a logo' }).locator('input').setInputFiles(png);
    await expect.poll(() => seen('.shop-logo'), PATIENT).toEqual([true]);
    const report = async () => (await fetch(`${shop.service.url}/api/visits/${visitId}/report`)).text();
    await expect.poll(report, PATIENT).toMatch(/<header>.*<img src="data:image\/png.*<\/header>/s);
    await page.getByRole('button', { name: 'No logo' }).click();
    await expect.poll(report, PATIENT).not.toMatch(/<header>.*<img.*<\/header>/s);
  });

  test('everything is one file', async () => {
    const all = await download(page, 'Everything as a file');
    expect(all.download.suggestedFilename()).toMatch(/^idlewright-records-.*\.json$/);
    file = join(shop.folder, 'all.json');
    writeFileSync(file, all.text);
    const { records } = JSON.parse(all.text) as { records: { kind: string }[] };
    expect(records[0]!.kind).toBe('shop');
  });

  test('a backup is made when it is asked for, into the folder that was just typed', async () => {
    const folder = join(shop.folder, 'stick');
    mkdirSync(folder);
    const button = page.getByRole('button', { name: 'Back up now' });
    expect(await button.isDisabled()).toBe(true);
    await enter(page, '#backup-folder', folder);
    await expect.poll(() => button.isEnabled(), PATIENT).toBe(true);
    await button.click();
    await expect.poll(() => page.getByTestId('backups-kept').textContent(), PATIENT).toBe('1');
    const [made] = readdirSync(folder).filter((name) => name.startsWith('idlewright-backup-'));
    expect(existsSync(join(folder, made!, 'manifest.json'))).toBe(true);
    await expect.poll(() => page.locator('dd', { hasText: 'none yet' }).count(), PATIENT).toBe(0);
    // A folder that cannot be is a problem in words, and the backup before is still known.
    const gone = join(shop.folder, 'another-stick');
    await enter(page, '#backup-folder', gone);
    await expect
      .poll(
        async () => (await shop.ask<{ backup: { folder: string } }>('GET', 'shop')).backup.folder,
        PATIENT,
      )
      .toBe(gone);
    await expect.poll(() => button.isEnabled(), PATIENT).toBe(true);
    await button.click();
    await expect.poll(() => noticed(page), PATIENT).toBe('backup-failed');
    await expect.poll(() => page.locator('dd', { hasText: 'Is the stick in?' }).count(), PATIENT).toBe(1);
  });

  test('another computer takes the file in, says what came, and the second time that nothing is new', async () => {
    const other = await ShopScreens.open();
    try {
      const there = await other.newPage(DESKTOP);
      await there.goto(`${other.service.url}/#jobs/shop`);
      const input = there.locator('label.file-choice', { hasText: 'Read a file' }).locator('input');
      await input.setInputFiles(file);
      const report = there.getByTestId('import-report');
      await expect.poll(() => report.textContent(), PATIENT).toMatch(/^Taken in: \d+ entries, 2 photos\.$/);
      await input.setInputFiles(file);
      await expect
        .poll(() => report.textContent(), PATIENT)
        .toMatch(/^There was nothing new in the file\. Here already: \d+\./);
      await input.setInputFiles({
        name: 'x.json',
        mimeType: 'application/json',
        buffer: Buffer.from('{"a":1}'),
      });
      await expect.poll(() => noticed(there), PATIENT).toBe('import-unreadable');
      expect(await report.count()).toBe(0);
      await there.goto(`${other.service.url}/#jobs/job/${visitId}`);
      await there.waitForSelector('.photos img');
      expect(await there.locator('[id^="finding-"]').first().inputValue()).toBe('Boot 2 is torn, clamp gone');
    } finally {
      await other.close();
    }
  });
});
