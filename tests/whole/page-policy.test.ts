import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Machine, Visit } from '../../server/contract/jobs.ts';
import { machineFields } from '../server/jobs/job-fixture.ts';
import { tinyPng } from '../server/jobs/photo-fixture.ts';
import { RunningService } from '../server/running-service.ts';
import { builtProgram } from './built-program.ts';
import { launchBrowser } from './find-browser.ts';

/** The built pages under the policy that the program really sends, in a real browser. */
describe('the content policy', () => {
  let folder = '';
  let service: RunningService;
  let browser: Browser;
  let page: Page;
  const violations: string[] = [];

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'idlewright-policy-'));
    service = await RunningService.start(
      ['--source', 'practice', '--port', '0', '--data', join(folder, 'data'), '--lan'],
      {},
      builtProgram(),
    );
    browser = await launchBrowser();
    const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, locale: 'en-US' });
    await context.exposeFunction('tellViolation', (text: string) => violations.push(text));
    await context.addInitScript({
      content: `addEventListener('securitypolicyviolation', (event) =>
        tellViolation(event.violatedDirective + ' ' + event.blockedURI + ' ' + event.sourceFile + ':' + event.lineNumber));`,
    });
    page = await context.newPage();
  });

  afterAll(async () => {
    await browser?.close();
    await service?.kill('SIGTERM');
    rmSync(folder, { recursive: true, force: true });
  });

  test('is broken by no screen of the built pages', async () => {
    await page.goto(`${service.url}/#bench`);
    await page.getByRole('dialog').waitFor();
    await page.keyboard.press('Escape');
    await page.getByTestId('gap').waitFor();
    const tabs = await page.locator('[data-testid^=tab-]').all();
    expect(tabs.length).toBeGreaterThanOrEqual(4);
    for (const tab of tabs) {
      await tab.click();
      await page.locator('main h1, main [data-testid=gap]').first().waitFor();
    }
    for (const hash of ['far', 'calibration', 'health', 'devices']) {
      await page.evaluate(`location.hash = '${hash}'`);
      await page.locator('main').first().waitFor();
    }
    await page.getByTestId('offer-code').click();
    await page.getByTestId('qr-code').waitFor();
    expect(violations).toEqual([]);
  });

  test('stops what a script that got in would do', async () => {
    const outcome = await page.evaluate(`(async () => {
      const tried = [];
      const script = document.createElement('script');
      script.textContent = 'window.inlineRan = true';
      document.head.append(script);
      tried.push(window.inlineRan === undefined);
      setTimeout('window.textRan = true');
      await new Promise((next) => setTimeout(next, 50));
      tried.push(window.textRan === undefined);
      const handler = document.createElement('p');
      handler.setAttribute('onclick', 'window.handlerRan = true');
      document.body.append(handler);
      handler.click();
      tried.push(window.handlerRan === undefined);
      tried.push(await fetch('http://127.0.0.1:9/').then(() => false, () => true));
      return tried;
    })()`);
    expect(outcome).toEqual([true, true, true, true]);
    await expect.poll(() => violations.length).toBeGreaterThanOrEqual(4);
    violations.length = 0;
  });

  test('lets the printable report have its own style, and pictures from the record alone', async () => {
    const send = <T>(path: string, body: unknown) => service.send<T>('POST', path, body);
    const machine = await send<Machine>('/api/machines', machineFields);
    const visit = await send<Visit>('/api/visits', {
      machineId: machine.id,
      day: '2026-05-04',
      technician: 'bench',
      complaint: 'stumbles off idle',
      odometer: null,
    });
    await page.goto(`${service.url}/api/visits/${visit.id}/report`);
    expect(await page.evaluate('document.styleSheets.length')).toBe(1);
    expect(await page.evaluate('document.styleSheets[0].cssRules.length')).toBeGreaterThan(5);
    const picture = `data:image/png;base64,${tinyPng.toString('base64')}`;
    const loads = (src: string) =>
      page.evaluate(`new Promise((resolve) => {
        const picture = new Image();
        picture.onload = () => resolve(true);
        picture.onerror = () => resolve(false);
        picture.src = '${src}';
      })`);
    expect(await loads(picture)).toBe(true);
    expect(violations).toEqual([]);
    expect(await loads(`${service.url}/mark.svg`)).toBe(false);
    expect(
      await page.evaluate(`(() => {
        const script = document.createElement('script');
        script.textContent = 'window.inlineRan = true';
        document.head.append(script);
        return window.inlineRan;
      })()`),
    ).toBeUndefined();
  });
});
