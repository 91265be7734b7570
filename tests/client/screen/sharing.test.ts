import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from 'vitest';
import type { Shop } from '../../../server/contract/jobs.ts';
import type { BackupState, RecordSharing } from '../../../server/contract/jobs-views.ts';
import { openBrowser } from '../browser.ts';
import { axeViolations } from './axe.ts';
import { FakeServer } from './fake-server.ts';
import { faults, openPage } from './open-page.ts';

const UNREACHABLE = {
  code: 'records-unreachable',
  message: 'The shared job record cannot be reached just now.',
  whatToDo: 'Go on measuring.',
};
const alone: RecordSharing = {
  server: null,
  reached: true,
  trouble: null,
  troubleSinceMs: null,
  capturesWaiting: 0,
  lastDeliveredAtMs: null,
};
const shared: RecordSharing = { ...alone, server: 'server/idlewright', lastDeliveredAtMs: Date.now() };
const gone: RecordSharing = {
  ...shared,
  reached: false,
  trouble: 'records-unreachable',
  troubleSinceMs: Date.now() - 600_000,
  capturesWaiting: 3,
};
const backups: BackupState = {
  folder: null,
  lastMadeAtMs: null,
  nextAtMs: null,
  lastProblem: null,
  backups: [],
};
const shop: Shop = {
  revision: 0,
  name: '',
  address: '',
  phone: '',
  email: '',
  taxNumber: '',
  logoPhotoId: null,
  pricing: { currency: 'EUR', pricesIncludeTax: true, taxOn: 'total' },
  taxPercent: '0',
  labourPerHourMinor: 0,
  pressureUnit: 'kPa',
  locale: 'en-GB',
  paper: 'A4',
  reportFooter: '',
  checklist: [],
  backup: { folder: null, everyHours: 24, keep: 10 },
};

let browser: Browser;
let server: FakeServer;
let page: Page;
let sharing: RecordSharing;
/** How often the list of jobs was asked for. */
let lists: number;

beforeAll(async () => {
  browser = await openBrowser();
});

afterAll(async () => {
  await browser.close();
});

beforeEach(async () => {
  server = await new FakeServer().start();
  page = await openPage(browser, server, { screen: 'phone' });
  lists = 0;
  await page.route('**/api/**', (route) => {
    const { pathname } = new URL(route.request().url());
    const away = sharing.trouble !== null;
    if (pathname === '/api/records/sharing') return route.fulfill({ json: sharing });
    if (pathname === '/api/records/backups') return route.fulfill({ json: backups });
    if (pathname === '/api/visits') lists++;
    if (away) return route.fulfill({ status: 503, json: UNREACHABLE });
    if (pathname === '/api/shop') return route.fulfill({ json: shop });
    if (pathname === '/api/visits') return route.fulfill({ json: { total: 0, offset: 0, rows: [] } });
    return route.fallback();
  });
});

afterEach(async () => {
  expect(faults(page)).toEqual([]);
  await page.context().close();
  await server.stop();
});

async function open(at: 'jobs' | 'jobs/shop', heading: string): Promise<void> {
  await page.evaluate(`location.hash = '${at}'`);
  await page.getByRole('heading', { level: 1, name: heading }).waitFor();
}

test('a bench that keeps its own record shows nothing of sharing', async () => {
  sharing = alone;
  await open('jobs/shop', 'Shop and backup');
  await page.waitForSelector('#shop-name');
  expect(await page.getByTestId('sharing').count()).toBe(0);
  await open('jobs', 'Jobs');
  await page.getByTestId('job-count').waitFor();
  expect(await page.getByTestId('sharing-trouble').count()).toBe(0);
});

test('a shared record that is reached is quiet above the jobs, and told of beside the backups', async () => {
  sharing = shared;
  await open('jobs', 'Jobs');
  await page.getByTestId('job-count').waitFor();
  expect(await page.getByTestId('sharing-trouble').count()).toBe(0);
  await open('jobs/shop', 'Shop and backup');
  const part = page.getByTestId('sharing');
  await part.waitFor();
  expect(await part.textContent()).toContain('server/idlewright');
  expect(await part.textContent()).toContain('all of this bench are there, the last since');
  expect(await axeViolations(page)).toEqual([]);
});

test('captures that wait for the network are told of where the jobs would be, and the jobs come back by themselves', async () => {
  sharing = gone;
  await open('jobs', 'Jobs');
  const trouble = page.getByTestId('sharing-trouble');
  await expect.poll(() => trouble.textContent()).toContain('3 captures wait on this bench');
  expect(await axeViolations(page)).toEqual([]);
  expect(await page.evaluate('document.documentElement.scrollWidth <= innerWidth')).toBe(true);
  await open('jobs/shop', 'Shop and backup');
  await expect.poll(() => page.getByTestId('sharing').textContent()).toContain('3 captures wait');
  await open('jobs', 'Jobs');
  await trouble.waitFor();
  const before = lists;
  sharing = shared;
  await expect.poll(() => page.getByTestId('job-count').count(), { timeout: 60_000 }).toBe(1);
  expect(await trouble.count()).toBe(0);
  expect(lists).toBeGreaterThan(before);
});
