import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { CaptureSummary } from '../../server/contract/captures.ts';
import type { Machine, MachineFields, Visit, VisitStart } from '../../server/contract/jobs.ts';
import { axeViolations } from '../client/screen/axe.ts';
import { cutOff, overlappingText, stickingOut } from '../client/screen/page-fit.ts';
import { RunningService } from '../server/running-service.ts';
import { builtProgram } from './built-program.ts';
import { launchBrowser } from './find-browser.ts';

/** A busy computer may take its time. */
const PATIENT_MS = 60_000;
const THEMES = ['light', 'dark'] as const;
const PHONE = { width: 360, height: 740 };
const DESKTOP = { width: 1920, height: 1080 };
const SIZES = [
  PHONE,
  DESKTOP,
  { width: 768, height: 1024 },
  { width: 1024, height: 768 },
  { width: 740, height: 360 },
];
const MACHINE: MachineFields = {
  ownerId: null,
  make: 'Home-built',
  model: 'twin',
  year: null,
  frameNumber: '',
  plate: null,
  cylinders: 2,
  layout: 'parallel twin',
  firing: '180-540',
  throttleLinkage: '',
  service: {
    idleSpeed: null,
    vacuumDifference: null,
    intakeClearance: null,
    exhaustClearance: null,
    sparkPlug: null,
    referenceCylinder: null,
    others: [],
  },
  notes: '',
  practice: true,
};

/** Where a person can be, each with the words or the element by which it is known to have come up. */
type Place = readonly [name: string, hash: string, shown: string];

describe('every view of the program, with a job, two captures and the practice engine', () => {
  let folder = '';
  let service: RunningService;
  let browser: Browser;
  let page: Page;
  let visit: Visit;
  let machine: Machine;
  const errors: string[] = [];

  const ask = async <T>(method: string, path: string, body?: unknown): Promise<T> => {
    const answer = await fetch(`${service.url}/api/${path}`, {
      method,
      ...(body === undefined
        ? {}
        : { body: JSON.stringify(body), headers: { 'content-type': 'application/json' } }),
    });
    expect(
      answer.ok,
      `${method} ${path}: ${answer.status} ${answer.ok ? '' : await answer.clone().text()}`,
    ).toBe(true);
    return (await answer.json()) as T;
  };

  /** Without motion: a colour on its way to the other theme would be judged half-way. */
  async function newPage(seen: readonly string[]): Promise<Page> {
    const context = await browser.newContext({ viewport: PHONE, reducedMotion: 'reduce', locale: 'en-US' });
    const made = await context.newPage();
    made.setDefaultTimeout(PATIENT_MS);
    made.on('pageerror', (error) => errors.push(error.message));
    await made.addInitScript(
      `for (const seen of ${JSON.stringify(seen)}) localStorage.setItem('idlewright.' + seen + '-seen', 'yes')`,
    );
    return made;
  }

  /** One capture of the job, long enough to be compared. */
  async function capture(label: 'before' | 'after'): Promise<void> {
    const { id } = await ask<CaptureSummary>('POST', 'captures', { label });
    const samples = async () =>
      (await ask<CaptureSummary[]>('GET', 'captures')).find((one) => one.id === id)?.samples ?? 0;
    while ((await samples()) < 1_500) await new Promise((resolve) => setTimeout(resolve, 500));
    await ask('POST', `captures/${id}/stop`);
  }

  async function judged(at: Page, name: string): Promise<void> {
    for (const size of SIZES) {
      await at.setViewportSize(size);
      // A chart follows the new size a moment later.
      await expect
        .poll(() => stickingOut(at), { message: `${name}, ${size.width} px, sticks out`, timeout: 10_000 })
        .toEqual([]);
      await expect
        .poll(() => overlappingText(at), { message: `${name}, ${size.width} px, text on text` })
        .toEqual([]);
      expect(await cutOff(at), `${name}, ${size.width} px, cut off`).toEqual([]);
      if (size !== PHONE && size !== DESKTOP) continue;
      for (const colorScheme of THEMES) {
        await at.emulateMedia({ colorScheme });
        expect(await axeViolations(at), `${name}, ${size.width} px, ${colorScheme}`).toEqual([]);
      }
    }
  }

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'idlewright-views-'));
    service = await RunningService.start(
      ['--source', 'practice', '--port', '0', '--data', join(folder, 'data')],
      {},
      builtProgram(),
    );
    browser = await launchBrowser();
    machine = await ask<Machine>('POST', 'machines', MACHINE);
    const start: VisitStart = {
      machineId: machine.id,
      day: '2026-05-04',
      complaint: 'Uneven idle',
      odometer: null,
      technician: 'A. Technician',
    };
    visit = await ask<Visit>('POST', 'visits', start);
    await ask('PATCH', 'setup', { benchVisitId: visit.id });
    await capture('before');
    await capture('after');
    page = await newPage(['cautions', 'tour']);
    await page.goto(service.url);
  }, 180_000);

  afterAll(async () => {
    await browser?.close();
    await service?.kill('SIGTERM');
    rmSync(folder, { recursive: true, force: true });
    expect(errors).toEqual([]);
  });

  const PLACES: readonly Place[] = [
    ['bench', 'bench', '.rail-plate'],
    ['far-view', 'far', '.app-far .rail-plate'],
    ['jobs', 'jobs', '[data-testid=new-job]'],
    ['a new job', 'jobs/new', '[data-testid=new-machine]'],
    ['a job', 'jobs/job/VISIT', '[data-testid=bench-job]'],
    ['a machine', 'jobs/machine/MACHINE', '#machine-layout'],
    ['the shop', 'jobs/shop', 'h1:has-text("shop")'],
    ['pulses', 'pulses', '.pulse-table tbody tr'],
    ['captures, compared', 'captures', '[data-testid=comparison]'],
    ['checks', 'checks', '[data-testid=check-spot]'],
    ['set-up', 'setup', '[data-testid=firing-of-machine]'],
    ['calibration', 'calibration', 'h1:has-text("Calibration")'],
    ['board and cable', 'health', 'main table'],
    ['devices', 'devices', 'h1:has-text("Devices")'],
  ];

  test.each(PLACES)(
    '%s has no accessibility fault on a phone and a desktop in either theme, and fits every size',
    async (name, hash, shown) => {
      const place = hash.replace('VISIT', visit.id).replace('MACHINE', machine.id);
      await page.evaluate(`location.hash = ${JSON.stringify(place)}`);
      await page.locator(shown).first().waitFor();
      await judged(page, name);
    },
  );

  test('a check that is set up and one that runs are free of faults', async () => {
    await page.evaluate("location.hash = 'checks'");
    await page.getByTestId('check-spot').click();
    await page.getByTestId('check-start').waitFor();
    await judged(page, 'a check to be started');
    const read = page.getByTestId('cautions-read');
    if ((await read.count()) > 0) await read.click();
    await page.getByTestId('check-start').click();
    await page.getByTestId('check-instruction').waitFor();
    await judged(page, 'a check that runs');
    // A tablet that was loaded anew goes on where the check is.
    await page.reload();
    await page.getByTestId('check-instruction').waitFor();
    await page.getByTestId('check-discard').click();
  });

  test('the tour and the cautions at the first start are free of faults', async () => {
    const first = await newPage([]);
    await first.goto(service.url);
    await first.locator('dialog[open]').waitFor();
    await judged(first, 'the cautions');
    await first.context().close();
    const second = await newPage(['cautions']);
    await second.goto(service.url);
    await second.getByTestId('tour-start').click();
    await second.getByTestId('tour').waitFor();
    await judged(second, 'the tour');
    await second.context().close();
  });

  test('the guide is free of faults', async () => {
    const guide = await newPage([]);
    await guide.goto(`${service.url}/guide/`);
    await guide.locator('h1').first().waitFor();
    await judged(guide, 'the guide');
    await guide.context().close();
  });
});
