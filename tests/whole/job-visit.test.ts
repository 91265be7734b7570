import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { axeViolations } from '../client/screen/axe.ts';
import { RunningService } from '../server/running-service.ts';
import { builtProgram } from './built-program.ts';
import { launchBrowser } from './find-browser.ts';

const PHONE = { width: 360, height: 740 };
const DESKTOP = { width: 1920, height: 1080 };
/** A busy computer may take its time. */
const PATIENT = { timeout: 60_000 };

/** An invented scenario on the practice engine: one visit from complaint to report, at two screens. */
describe('a visit to the shop, from complaint to hand-over', () => {
  let folder = '';
  let service: RunningService;
  let browser: Browser;
  let page: Page;
  const errors: string[] = [];

  /** Without motion: a colour on its way to the other theme would be judged half-way. */
  async function newPage(viewport: { width: number; height: number }): Promise<Page> {
    const context = await browser.newContext({ viewport, reducedMotion: 'reduce' });
    const made = await context.newPage();
    made.setDefaultTimeout(PATIENT.timeout);
    made.on('pageerror', (error) => errors.push(error.message));
    await made.addInitScript(
      "for (const seen of ['cautions', 'tour']) localStorage.setItem('idlewright.' + seen + '-seen', 'yes')",
    );
    return made;
  }

  const ask = async <T>(method: string, path: string, body?: unknown): Promise<T> => {
    const answer = await fetch(`${service.url}/api/${path}`, {
      method,
      ...(body === undefined
        ? {}
        : { body: JSON.stringify(body), headers: { 'content-type': 'application/json' } }),
    });
    expect(answer.ok, `${method} ${path}: ${answer.status}`).toBe(true);
    return (await answer.json()) as T;
  };

  /** Types into a field and leaves it, as a person does. */
  async function enter(at: Page, field: string, text: string): Promise<void> {
    await at.fill(field, text);
    await at.press(field, 'Tab');
  }

  const jobId = () => page.url().split('/').at(-1)!;
  const job = () =>
    ask<{
      visit: { revision: number; complaint: string; technician: string; state: string; notes: string };
      entries: { body: { kind: string } }[];
      captures: { label: string }[];
      costs: { grossMinor: number };
    }>('GET', `visits/${jobId()}`);

  async function noViolations(what: string): Promise<void> {
    for (const theme of ['light', 'dark']) {
      await page.evaluate(`document.documentElement.dataset.theme = '${theme}'`);
      for (const size of [PHONE, DESKTOP]) {
        await page.setViewportSize(size);
        expect(await axeViolations(page), `${what}, ${theme}, ${size.width} px`).toEqual([]);
      }
      const wide = await page.evaluate('document.documentElement.scrollWidth <= innerWidth');
      expect(wide, `${what} scrolls sideways`).toBe(true);
    }
  }

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'idlewright-visit-'));
    service = await RunningService.start(
      ['--source', 'practice', '--port', '0', '--data', join(folder, 'data')],
      {},
      builtProgram(),
    );
    browser = await launchBrowser();
    page = await newPage(PHONE);
  }, 120_000);

  afterAll(async () => {
    await browser?.close();
    await service?.kill('SIGTERM');
    rmSync(folder, { recursive: true, force: true });
    expect(errors).toEqual([]);
  });

  test('begins with owner, machine and complaint', async () => {
    await page.goto(`${service.url}/#jobs`);
    await page.getByTestId('new-job').click();
    await page.getByTestId('new-machine').click();
    await page.waitForSelector('#owner-name');
    await noViolations('a new job');
    await page.fill('#owner-name', 'R. Example');
    await page.getByTestId('new-owner').click();
    await page.fill('#new-make', 'Home-built');
    await page.fill('#new-model', 'twin');
    await page.locator('label.switch input').check();
    await page.getByTestId('make-machine').click();
    await page.fill('#complaint', 'Stumbles off choke, choppy idle');
    await enter(page, '#odometer', '41250');
    await page.fill('#technician', 'A. Technician');
    await page.getByTestId('start-job').click();
    await page.waitForSelector('[data-testid=bench-job]');
    expect((await job()).visit).toMatchObject({
      complaint: 'Stumbles off choke, choppy idle',
      odometer: { value: '41250', unit: 'km' },
      technician: 'A. Technician',
    });
  });

  test('a clearance is judged by the machine’s own figures', async () => {
    const back = page.url();
    await page.getByText('Machine and history').click();
    await enter(page, '#figure-intake-low', '0.13');
    await enter(page, '#figure-intake-high', '0.18');
    await enter(page, '#figure-intake-source', 'own manual, page 12');
    await expect
      .poll(() => page.getByTestId('entry-status').first().getAttribute('data-status'), PATIENT)
      .toBe('saved');
    await noViolations('the machine');
    await page.goto(back);
    for (const [goes, stops] of [
      ['0.15', '0.16'],
      ['0.10', '0.13'],
      ['0.15', '0.20'],
    ]) {
      await page.selectOption('#valve-side', 'intake');
      await enter(page, '#valve-goes', goes!);
      await enter(page, '#valve-stops', stops!);
      await page.getByTestId('add-clearance').click();
      // The form has moved on to the next valve with the same blades.
      await expect.poll(() => page.locator('#valve-side').inputValue(), PATIENT).toBe('exhaust');
      expect(await page.locator('#valve-goes').inputValue()).toBe(goes);
    }
    await expect
      .poll(() => page.getByTestId('clearance-verdict').allTextContents(), PATIENT)
      .toEqual(['in', 'tight', 'across the limit: use a blade between']);
  });

  test('costs are added up by the program in whole cents', async () => {
    await page.selectOption('#new-cost', 'part');
    await page.getByTestId('add-cost').click();
    const price = page.locator('[id^="price-"]').first();
    await price.waitFor();
    await price.fill('12.35');
    await price.press('Tab');
    const pieces = page.locator('[id^="quantity-"]').first();
    await pieces.fill('3');
    await pieces.press('Tab');
    await expect.poll(async () => (await job()).costs.grossMinor, PATIENT).toBe(3705);
    await expect.poll(() => page.getByTestId('gross').textContent(), PATIENT).toContain('37.05');
  });

  test('captures come to the job on the bench, and are compared', async () => {
    await page.getByTestId('bench-job').click();
    await expect.poll(() => page.getByTestId('bench-job').getAttribute('aria-pressed'), PATIENT).toBe('true');
    await enter(page, '#conditions', 'warm, 18 °C');
    await expect
      .poll(() => ask<{ conditions?: string }>('GET', 'setup'), PATIENT)
      .toMatchObject({ conditions: 'warm, 18 °C' });
    for (const label of ['before', 'after']) {
      const { id } = await ask<{ id: string }>('POST', 'captures', { label });
      await expect
        .poll(async () => {
          const all = await ask<{ id: string; spreadKpa: number | null }[]>('GET', 'captures');
          return all.find((one) => one.id === id)?.spreadKpa ?? null;
        }, PATIENT)
        .not.toBeNull();
      const stopped = await ask<{ spreadKpa: number }>('POST', `captures/${id}/stop`);
      expect(stopped).toMatchObject({ conditions: 'warm, 18 °C' });
      // From the raw samples alone, by the version that is running.
      expect(await ask('GET', `captures/${id}/recomputed`)).toMatchObject({
        softwareVersion: expect.stringMatching(/^\d+\.\d+/) as string,
        spreadKpa: expect.closeTo(stopped.spreadKpa, 6) as number,
      });
    }
    expect((await job()).captures.map(({ label }) => label).sort()).toEqual(['after', 'before']);
    await page.reload();
    // Nothing was turned, so nothing may be claimed.
    const words = await page.getByTestId('job-comparison').textContent();
    expect(words).not.toMatch(/smaller by|larger by/);
    await noViolations('the job');
  });

  test('a guided check that is made while the job is on the bench is written down with it', async () => {
    await ask('POST', 'checks/current', { kind: 'key-off', acknowledged: true });
    await expect
      .poll(async () => {
        const { running, result } = await ask<{ running: { canFinish: boolean } | null; result: unknown }>(
          'GET',
          'checks/current',
        );
        if (running?.canFinish === true) await ask('POST', 'checks/current/finish');
        return result !== null;
      }, PATIENT)
      .toBe(true);
    await page.reload();
    await page.getByTestId('checked').first().waitFor();
    expect(await page.getByTestId('checked').count()).toBe(1);
  });

  test('two people at one job overwrite nothing of each other', async () => {
    const other = await newPage(DESKTOP);
    await other.goto(page.url());
    await other.waitForSelector('#notes');
    // Different fields: both stay, and nobody is asked.
    await enter(page, '#notes', 'boots ordered');
    await expect.poll(async () => (await job()).visit.notes, PATIENT).toBe('boots ordered');
    await enter(other, '#technician', 'B. Technician');
    await expect.poll(async () => (await job()).visit.technician, PATIENT).toBe('B. Technician');
    expect((await job()).visit.notes).toBe('boots ordered');
    // The same field: the later one has to choose.
    await enter(other, '#notes', 'boots fitted');
    await expect.poll(async () => (await job()).visit.notes, PATIENT).toBe('boots fitted');
    await enter(page, '#notes', 'boots refused');
    const clash = page.getByTestId('clash').first();
    await clash.waitFor();
    expect(await clash.textContent()).toContain('boots refused');
    expect(await clash.textContent()).toContain('boots fitted');
    expect((await job()).visit.notes).toBe('boots fitted');
    await page.getByTestId('clash-mine').first().click();
    await expect.poll(async () => (await job()).visit.notes, PATIENT).toBe('boots refused');
    await other.context().close();
  });

  test('what cannot be saved stays on the screen until it can', async () => {
    await page.route('**/api/visits/*', (route) =>
      route.request().method() === 'PUT' ? route.abort() : route.continue(),
    );
    await enter(page, '#road-test', 'pulls cleanly');
    const problem = page.locator('.entry-problem').first();
    await problem.waitFor();
    expect(await problem.textContent()).toContain('What you typed is still here');
    expect(await page.locator('#road-test').inputValue()).toBe('pulls cleanly');
    // Another page, and back.
    await page.getByText('All jobs').click();
    await page.waitForSelector('#job-q');
    await page.goBack();
    await problem.waitFor();
    expect(await page.locator('#road-test').inputValue()).toBe('pulls cleanly');
    expect((await job()).visit).toMatchObject({ roadTest: '' });
    await page.unroute('**/api/visits/*');
    await problem.getByRole('button').click();
    await expect
      .poll(async () => JSON.stringify((await job()).visit), PATIENT)
      .toContain('"roadTest":"pulls cleanly"');
  });

  test('ends with the hand-over, a report, and a record that is found again', async () => {
    await page.getByTestId('hand-over-button').click();
    await expect.poll(async () => (await job()).visit.state, PATIENT).toBe('handed-over');
    const report = await (await fetch(`${service.url}/api/visits/${jobId()}/report`)).text();
    for (const words of ['Home-built twin', 'Stumbles off choke', 'pulls cleanly'])
      expect(report).toContain(words);
    await page.goto(`${service.url}/#jobs`);
    await page.selectOption('#job-practice', 'only');
    await page.fill('#job-q', 'choppy');
    await expect.poll(() => page.getByTestId('job-count').textContent(), PATIENT).toBe('1 job found');
    await page.fill('#job-q', 'nowhere');
    await expect.poll(() => page.getByTestId('job-count').textContent(), PATIENT).toContain('Nothing found');
    await noViolations('the list');
    await page.goto(`${service.url}/#jobs/shop`);
    await page.waitForSelector('#shop-name');
    await noViolations('the shop');
  });
});
