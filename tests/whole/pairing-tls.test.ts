import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { AccessState } from '../../server/contract/access.ts';
import { RunningService } from '../server/running-service.ts';
import { builtProgram } from './built-program.ts';
import { launchBrowser } from './find-browser.ts';

describe('a tablet over TLS in a real browser', () => {
  let folder = '';
  let service: RunningService;
  let browser: Browser;

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'idlewright-pairing-tls-'));
    service = await RunningService.start(
      ['--source', 'practice', '--port', '0', '--data', join(folder, 'data'), '--lan', '--tls'],
      {},
      builtProgram(),
    );
    browser = await launchBrowser();
  });

  afterAll(async () => {
    await browser?.close();
    await service?.kill('SIGTERM');
    rmSync(folder, { recursive: true, force: true });
  });

  const address = () => `https://127.0.0.1:${/devices on port (\d+)/.exec(service.stdout)?.[1]}/`;

  test('is warned of a certificate that it does not know', async () => {
    const page = await browser.newPage();
    await expect(page.goto(address())).rejects.toThrow(/ERR_CERT_AUTHORITY_INVALID/);
    await page.close();
  });

  test('sees the live figures once its person has gone on and typed the code', async () => {
    const context = await browser.newContext({
      ignoreHTTPSErrors: true,
      viewport: { width: 820, height: 1180 },
    });
    await context.addInitScript({ content: "localStorage.setItem('idlewright.cautions-seen', 'yes')" });
    const page = await context.newPage();
    const { offer } = await service.send<AccessState>('POST', '/api/access/offer', { role: 'operate' });
    await page.goto(`${address()}#let-in=${offer!.code}`);
    await page.getByTestId('let-in').click();
    await page.waitForSelector('[data-testid=source-state][data-link=live]', { state: 'attached' });
    await page.getByTestId('gap').waitFor();
    const [cookie] = await context.cookies();
    expect(cookie).toMatchObject({ name: '__Host-idlewright-device', secure: true, httpOnly: true });
    await context.close();
  });

  test('the instrument shows the fingerprint to compare', async () => {
    const printed = /^certificate SHA-256 ([0-9A-F:]+)$/m.exec(service.stdout)?.[1];
    const page = await browser.newPage();
    await page.goto(`${service.url}/#devices`);
    await page.getByTestId('fingerprint').waitFor({ state: 'attached' });
    expect((await page.getByTestId('fingerprint').textContent())?.replaceAll(' ', ':')).toBe(printed);
    await page.close();
  });
});
