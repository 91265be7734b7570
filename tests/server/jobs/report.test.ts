import { rmSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { PHOTO_FOLDER, photoPath } from '../../../server/jobs/photo-store.ts';
import { openBrowser } from '../../client/browser.ts';
import { open } from './capture-fixture.ts';
import { made, visitFields } from './job-fixture.ts';
import { tinyPng } from './photo-fixture.ts';
import { addChecks, finishedJob, reportPage } from './report-fixture.ts';
import { temporaryFolder } from './temporary-folder.ts';

let browser: Browser;
beforeAll(async () => {
  browser = await openBrowser();
});
afterAll(() => browser.close());

/** Shows a page and counts what it asks the network for. */
async function shown(html: string): Promise<{ page: Page; requests: string[] }> {
  const page = await browser.newPage();
  const requests: string[] = [];
  page.on('request', (request) => {
    if (!request.url().startsWith('data:')) requests.push(request.url());
  });
  await page.setContent(html, { waitUntil: 'load' });
  return { page, requests };
}

const pdfText = (pdf: Buffer) => pdf.toString('latin1');
const pagesOf = (pdf: Buffer) => pdfText(pdf).match(/\/Type\s*\/Page\b(?!s)/g)?.length;
const sheetOf = (pdf: Buffer) =>
  /\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/.exec(pdfText(pdf))?.slice(1).map(Number);

describe('the printed report', () => {
  test.each([
    // ISO 216 A4: 210 x 297 mm; letter: 8.5 x 11 in. One point is 1/72 in.
    ['A4', 595.28, 841.89],
    ['letter', 612, 792],
  ] as const)('puts a usual job on one sheet of %s', async (paper, width, height) => {
    const store = await open(temporaryFolder());
    const { page } = await shown(await reportPage(await finishedJob(store), paper));
    const pdf = await page.pdf({ preferCSSPageSize: true, printBackground: true });
    const sheet = sheetOf(pdf)!;
    expect(Math.abs(sheet[0]! - width)).toBeLessThan(1);
    expect(Math.abs(sheet[1]! - height)).toBeLessThan(1);
    expect(pagesOf(pdf)).toBe(1);
    await page.close();
    store.close();
  });

  test.each(['A4', 'letter'] as const)(
    'puts one with guided checks on at most two sheets of %s',
    async (paper) => {
      const store = await open(temporaryFolder());
      const job = await finishedJob(store);
      addChecks(job);
      const { page } = await shown(await reportPage(job, paper));
      const pdf = await page.pdf({ preferCSSPageSize: true, printBackground: true });
      expect(pagesOf(pdf)).toBeLessThanOrEqual(2);
      await page.close();
      store.close();
    },
  );

  test('says what was measured, done, charged and is due, and asks the network for nothing', async () => {
    const store = await open(temporaryFolder());
    const { page, requests } = await shown(await reportPage(await finishedJob(store)));
    const text = await page.textContent('body');
    for (const part of [
      'Ford Lane Motorcycle Repairs',
      'Invented Works Twin 650 1983',
      'Wilma Ásbjörn',
      'IW650-001234',
      '41234 km',
      '1100 ± 50 r/min (workshop manual, p. 31)',
      'The difference between the cylinders went down from 6.2 to 0.6 kPa.',
      '28.40 ± 0.20',
      '−5.6 ± 0.4',
      '+1.80 ± 0.14',
      'Permitted difference: 2.70 kPa (workshop manual, p. 32): inside it after the work.',
      'Specification: intake 0.13–0.18 mm (workshop manual, p. 40); exhaust 7–9 thou',
      '0.10 goes, 0.13 does not, mm: tight',
      '8 thou: in',
      'Intake boot, 16211-AB4, Parts barn',
      '€161.13',
      'Slide diaphragm, D-77: 1 × €64.00, declined (owner will wait)',
      'on 31 May 2025 or at 47000 km: valve clearances',
      'licensed technician',
      'Exhaust gas is poisonous',
    ]) {
      expect(text).toContain(part);
    }
    expect(requests).toEqual([]);
    await page.close();
    store.close();
  });

  test('says what the guided checks of the job found, with figures and days, oldest first', async () => {
    const store = await open(temporaryFolder());
    const job = await finishedJob(store);
    expect(await reportPage(job)).not.toContain('Guided checks');
    addChecks(job);
    addChecks({ store, visitId: 'another' });
    const { page } = await shown(await reportPage(job));
    const checks = (await page.locator('.check').allInnerTexts()).map((text) => text.replace(/\s+/g, ' '));
    expect(checks.map((text) => text.replace(/ 2024, \d\d:\d\d/, ''))).toEqual([
      'Idle quality, 31 May. Rough idle: found. Roughness 46 of 100 by our own score: a rough idle. ' +
        'Engine, rough idle: roughness score 46.0, idle speed 1,240 ± 12 r/min; ' +
        'Cylinder 2, missed pulses: missed or weak pulses a minute 6.0',
      // What did not change is no minus nothing.
      'Spot test, 31 May. Leak: found. Air leaks in at boot 3. idle speed (boot 1: 0.2 ± 0.9 %, ' +
        'boot 2: 0.0 ± 0.8 %, boot 3: 5.4 ± 0.9 %, boot 4: −0.4 ± 0.9 %)',
      'Hold test, 31 May. Leak: not found. The part holds. On hose 1, at most 3 kPa lost in 60 s: ' +
        'lost in 60 s 0.35 ± 0.20 kPa, air drawn in 0.0042 ± 0.0024 ml/s',
    ]);
    await page.close();
    store.close();
  });

  test('draws every cylinder before and after where its vacuum is, none over the edge', async () => {
    const store = await open(temporaryFolder());
    const { page } = await shown(await reportPage(await finishedJob(store)));
    const marks = await page.$$eval('.rails .mark', (lines) =>
      lines.map((line) => Number(line.getAttribute('x1'))),
    );
    expect(marks.length).toBe(8);
    const vacuums = [28.4, 32.1, 25.9, 29.7, 30.2, 30.5, 29.9, 30.3];
    const slope = (marks[1]! - marks[2]!) / (32.1 - 25.9);
    for (const [index, at] of marks.entries()) {
      expect(at).toBeCloseTo(marks[2]! + slope * (vacuums[index]! - 25.9), 0);
      expect(at).toBeGreaterThan(70);
      expect(at).toBeLessThan(700);
    }
    await page.close();
    store.close();
  });

  test('shows what was typed as text, whatever it is', async () => {
    const attack = `"><script>document.title='taken'</script><img src=x onerror="document.title='taken'"> & 'x'`;
    const store = await open(temporaryFolder());
    const job = await finishedJob(store);
    const { records } = store;
    const whole = (await records.job(job.visitId))!;
    const { id: ownerId, revision: ownerRevision, createdAtMs: _c, updatedAtMs: _u, ...owner } = whole.owner!;
    made(await records.owners.change(ownerId, ownerRevision, { ...owner, name: attack }));
    made(
      await records.visits.change(job.visitId, whole.visit.revision, {
        ...visitFields(whole.visit),
        complaint: attack,
        roadTest: attack,
      }),
    );
    made(await records.entries.create(job.visitId, { position: 1, body: { kind: 'note', text: attack } }));
    const { revision, ...shop } = await records.shop.get();
    made(await records.shop.change(revision, { ...shop, name: attack, reportFooter: attack }));
    const { page, requests } = await shown(await reportPage(job));
    expect(await page.title()).toBe('Job report 2024-05-31 Invented Works Twin 650 1983');
    expect(await page.$$eval('script, img', (found) => found.length)).toBe(0);
    const text = await page.textContent('body');
    expect(text!.split(attack).length - 1).toBe(6);
    expect(requests).toEqual([]);
    await page.close();
    store.close();
  });

  test('shows photos and the shop’s sign, and says where a photo is missing', async () => {
    const store = await open(temporaryFolder());
    const job = await finishedJob(store);
    const kept = await store.records.photos.keep(tinyPng);
    if (!kept.ok) throw new Error(kept.reason);
    const lost = await store.records.photos.keep(Buffer.concat([tinyPng, tinyPng]));
    if (!lost.ok) throw new Error(lost.reason);
    rmSync(photoPath(join(store.dataDir, PHOTO_FOLDER), lost.photo.id));
    const photoIds = [kept.photo.id, lost.photo.id];
    const body = { kind: 'finding', text: 'boot', weight: 'unsafe', photoIds } as const;
    made(await store.records.entries.create(job.visitId, { position: 1, body: { ...body, photoIds } }));
    const { revision, ...shop } = await store.records.shop.get();
    made(await store.records.shop.change(revision, { ...shop, logoPhotoId: kept.photo.id }));
    const { page } = await shown(await reportPage(job));
    expect(await page.$$eval('img', (images) => images.map((image) => image.naturalWidth))).toEqual([1, 1]);
    expect(await page.textContent('body')).toMatch(/UNSAFE: boot\s*\[photo missing\]/);
    await page.close();
    store.close();
  });

  test('says on its face that a practice job is none of a real machine', async () => {
    const store = await open(temporaryFolder());
    const job = await finishedJob(store);
    store.database.exec('UPDATE visits SET practice = 1');
    expect(await reportPage(job)).toContain('measured on a simulated engine');
    store.close();
  });
});
