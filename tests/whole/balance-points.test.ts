import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { expect, test } from 'vitest';
import { axeViolations } from '../client/screen/axe.ts';
import { RunningService } from '../server/running-service.ts';
import { builtProgram } from './built-program.ts';
import { launchBrowser } from './find-browser.ts';

/** A busy computer finds the engine later. */
const PATIENT_MS = 60_000;

test('a set with stop screws and cables shows both its points, and at which of them the engine runs', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'idlewright-points-'));
  const service = await RunningService.start(
    ['--source', 'practice', '--port', '0', '--data', join(folder, 'data')],
    {},
    builtProgram(),
  );
  let browser: Browser | undefined;
  try {
    browser = await launchBrowser();
    const context = await browser.newContext({ viewport: { width: 360, height: 740 }, locale: 'en-US' });
    await context.addInitScript({
      content:
        "for (const seen of ['cautions', 'tour']) localStorage.setItem('idlewright.' + seen + '-seen', 'yes')",
    });
    const page = await context.newPage();
    page.setDefaultTimeout(PATIENT_MS);
    await page.goto(`${service.url}/#bench`);
    await page.getByTestId('practice-layout').selectOption('twin-180-cables');
    await page.getByText('This set has stop screws and cables.').waitFor();
    await page.getByText('Stop screw of cylinder 2', { exact: true }).waitFor();
    await page.getByText('Cable adjuster of cylinder 1', { exact: true }).waitFor();
    await page.goto(`${service.url}/#setup`);
    await page.getByRole('radio', { name: 'A stop screw and a cable for each cylinder' }).check();
    await page.goto(`${service.url}/#bench`);
    const point = (id: string, here: boolean) =>
      page.locator(`[data-testid=point-${id}][data-here=${here}]`).waitFor();
    await point('idle', true);
    await point('raised', false);
    expect(await page.getByText('This set has stop screws and cables.').count()).toBe(0);
    await page.getByTestId('practice-hold').click();
    await point('raised', true);
    await page
      .getByText(/Turn the cable adjuster of cylinder \d a little/)
      .first()
      .waitFor();
    expect(await axeViolations(page)).toEqual([]);
    await page.getByTestId('practice-hold').click();
    await point('idle', true);
    await page
      .getByText(/urn the stop screw of cylinder \d a little/)
      .first()
      .waitFor();
  } finally {
    await browser?.close();
    await service.kill('SIGTERM');
    rmSync(folder, { recursive: true, force: true });
  }
}, 300_000);
