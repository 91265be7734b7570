import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { DESKTOP, enter, noViolations, PATIENT, PHONE, ShopScreens } from './shop-screens.ts';

/** An invented scenario on the practice engine: one visit from complaint to report, at two screens. */
describe('a visit to the shop, from complaint to hand-over', () => {
  let shop: ShopScreens;
  let page: Page;

  const ask = <T>(method: string, path: string, body?: unknown) => shop.ask<T>(method, path, body);
  const jobId = () => page.url().split('/').at(-1)!;
  const job = () =>
    ask<{
      visit: { revision: number; complaint: string; technician: string; state: string; notes: string };
      entries: { body: { kind: string } }[];
      captures: { label: string }[];
      costs: { grossMinor: number };
    }>('GET', `visits/${jobId()}`);

  beforeAll(async () => {
    shop = await ShopScreens.open();
    page = await shop.newPage(PHONE);
  }, 120_000);

  afterAll(() => shop?.close());

  test('begins with owner, machine and complaint', async () => {
    await page.goto(`${shop.service.url}/#jobs`);
    await page.getByTestId('new-job').click();
    await page.getByTestId('new-machine').click();
    await page.waitForSelector('#owner-name');
    await noViolations(page, 'a new job');
    await page.fill('#owner-name', 'R. Example');
    await page.getByTestId('new-owner').click();
    await page.fill('#new-make', 'Home-built');
    await page.reload();
    await page.getByTestId('new-machine').click();
    await page.getByText('typed before the page was closed').waitFor();
    expect(await page.inputValue('#new-make')).toBe('Home-built');
    await page.fill('#owner-name', 'R. Ex');
    await page.getByRole('button', { name: 'R. Example', exact: true }).click();
    await page.fill('#new-model', 'twin');
    await page.locator('label.switch input').check();
    await page.getByTestId('make-machine').click();
    await page.waitForSelector('#complaint');
    await noViolations(page, 'the complaint');
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
    await noViolations(page, 'the machine');
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
    // The page was open all the while, and nobody has touched it.
    // Nothing was turned, so nothing may be claimed.
    const words = await page.getByTestId('job-comparison').textContent();
    expect(words).not.toMatch(/smaller by|larger by/);
    await noViolations(page, 'the job');
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
    const other = await shop.newPage(DESKTOP);
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

  test('what was typed and not saved is there again after the tab is gone, until it is saved', async () => {
    const address = page.url();
    await page.fill('#new-finding', 'choke cable fr');
    await page.fill('#hand-over', 'showed both plugs');
    await page.reload();
    const restored = page.getByTestId('restored').first();
    await restored.waitFor();
    expect(await restored.textContent()).toContain('is not saved yet');
    expect(await page.inputValue('#hand-over')).toBe('showed both plugs');
    expect(await page.inputValue('#new-finding')).toBe('choke cable fr');
    await noViolations(page, 'a job with text that is shown again');
    expect((await job()).visit).toMatchObject({ handOver: '' });
    // The tab is gone without a word, as in a crash.
    const context = page.context();
    await page.close({ runBeforeUnload: false });
    page = await shop.anotherPage(context);
    await page.goto(address);
    await page.getByTestId('restored').first().waitFor();
    expect(await page.inputValue('#hand-over')).toBe('showed both plugs');
    await page.getByTestId('restored-save').first().click();
    await expect
      .poll(async () => (await job()).visit, PATIENT)
      .toMatchObject({ handOver: 'showed both plugs' });
    await page.fill('#new-finding', 'choke cable frayed');
    await page.getByTestId('add-finding').click();
    await page.locator('[id^="finding-"]').first().waitFor();
    await page.reload();
    await page.waitForSelector('#hand-over');
    expect(await page.getByTestId('restored').count()).toBe(0);
    expect(await page.inputValue('#new-finding')).toBe('');
  });

  test('text that is shown again takes back nothing that others wrote meanwhile', async () => {
    await page.fill('#hand-over', 'mine');
    const { visit } = await job();
    const { revision, ...rest } = visit as unknown as Record<string, unknown> & { revision: number };
    const fields = Object.fromEntries(
      Object.entries(rest).filter(
        ([name]) => !['id', 'ownerId', 'practice', 'createdAtMs', 'updatedAtMs'].includes(name),
      ),
    );
    const theirs = { ...fields, handOver: 'theirs', notes: 'theirs too' };
    await ask('PUT', `visits/${jobId()}`, { revision, fields: theirs });
    // Twice: what is not decided is asked again.
    for (let times = 0; times < 2; times++) {
      await page.reload();
      const clash = page.getByTestId('clash').first();
      await clash.waitFor();
      expect(await clash.textContent()).toMatch(/mine.*theirs/s);
      expect(await page.inputValue('#notes')).toBe('theirs too');
    }
    expect((await job()).visit).toMatchObject({ handOver: 'theirs' });
    await page.getByTestId('clash-theirs').first().click();
    expect(await page.inputValue('#hand-over')).toBe('theirs');
    await page.fill('#hand-over', 'mine again');
    await page.reload();
    await page.getByTestId('restored-drop').first().click();
    expect(await page.inputValue('#hand-over')).toBe('theirs');
    await page.reload();
    await page.waitForSelector('#hand-over');
    expect(await page.getByTestId('restored').count()).toBe(0);
    expect((await job()).visit).toMatchObject({ handOver: 'theirs', notes: 'theirs too' });
  });

  test('ends with the hand-over, a report, and a record that is found again', async () => {
    await page.getByTestId('hand-over-button').click();
    await expect.poll(async () => (await job()).visit.state, PATIENT).toBe('handed-over');
    const report = await (await fetch(`${shop.service.url}/api/visits/${jobId()}/report`)).text();
    for (const words of [
      'Home-built twin',
      'Stumbles off choke',
      'pulls cleanly',
      'Key-off check on the practice',
    ])
      expect(report).toContain(words);
    await page.goto(`${shop.service.url}/#jobs`);
    await page.selectOption('#job-practice', 'only');
    await page.fill('#job-q', 'choppy');
    await expect.poll(() => page.getByTestId('job-count').textContent(), PATIENT).toBe('1 job found');
    await page.fill('#job-q', 'nowhere');
    await expect.poll(() => page.getByTestId('job-count').textContent(), PATIENT).toContain('Nothing found');
    await noViolations(page, 'the list');
    await page.goto(`${shop.service.url}/#jobs/shop`);
    await page.waitForSelector('#shop-name');
    await noViolations(page, 'the shop');
  });
});
