import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { default as jsQR } from 'jsqr';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { axeViolations } from '../client/screen/axe.ts';
import { RunningService } from '../server/running-service.ts';
import { builtProgram } from './built-program.ts';
import { launchBrowser } from './find-browser.ts';

const PHONE = { width: 360, height: 740 };
const DESKTOP = { width: 1920, height: 1080 };
/** Elements wider than the screen. */
const STICKING_OUT = `[...document.querySelectorAll('body *')]
  .filter((element) => !element.closest('.wide-table, svg, .skip, .unseen, canvas') && element.getBoundingClientRect().right > innerWidth + 1)
  .map((element) => element.tagName + '.' + element.className)`;
/** Draws the code on a canvas as a camera would see it. */
const QR_PIXELS = `new Promise((resolve, reject) => {
  const svg = document.querySelector('[data-testid=qr-code]').cloneNode(true);
  svg.setAttribute('xmlns', 'http://www.w3.org/2000/svg');
  svg.setAttribute('width', '400');
  svg.setAttribute('height', '400');
  const picture = new Image();
  picture.onerror = reject;
  picture.onload = () => {
    const canvas = document.createElement('canvas');
    canvas.width = canvas.height = 400;
    const pen = canvas.getContext('2d');
    pen.drawImage(picture, 0, 0, 400, 400);
    resolve([...pen.getImageData(0, 0, 400, 400).data]);
  };
  picture.src = 'data:image/svg+xml;charset=utf-8,' + encodeURIComponent(svg.outerHTML);
})`;

/** Where to keep pictures of the screens for a person to look at; none are kept otherwise. */
const PICTURES = process.env.IDLEWRIGHT_TEST_PICTURES;

describe('letting a tablet in, from the instrument’s screen to the tablet’s', () => {
  let folder = '';
  let service: RunningService;
  let browser: Browser;
  let instrument: Page;
  let device: Page;
  const errors: string[] = [];
  const contexts: BrowserContext[] = [];

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'idlewright-pairing-'));
    service = await RunningService.start(
      ['--source', 'practice', '--port', '0', '--data', join(folder, 'data'), '--lan'],
      {},
      builtProgram(),
    );
    browser = await launchBrowser();
    instrument = await newPage(DESKTOP);
    device = await newPage(PHONE);
  }, 120_000);

  afterAll(async () => {
    await browser?.close();
    await service?.kill('SIGTERM');
    rmSync(folder, { recursive: true, force: true });
  });

  async function newPage(viewport: { width: number; height: number }): Promise<Page> {
    const context = await browser.newContext({ viewport, locale: 'en-US' });
    contexts.push(context);
    await context.addInitScript({
      content: `if (location.protocol === 'http:') localStorage.setItem('idlewright.cautions-seen', 'yes');
        addEventListener('securitypolicyviolation', (event) => console.error('policy: ' + event.violatedDirective + ' ' + event.blockedURI));`,
    });
    const page = await context.newPage();
    page.on('pageerror', (error) => errors.push(String(error)));
    page.on('console', (message) => {
      // A refusal is what is tested here.
      if (message.type() === 'error' && !/status of 40[13]|WebSocket/.test(message.text()))
        errors.push(message.text());
    });
    return page;
  }

  const networkAddress = () => `http://127.0.0.1:${/devices on port (\d+)/.exec(service.stdout)?.[1]}/`;

  async function look(page: Page, name: string): Promise<void> {
    for (const viewport of [PHONE, DESKTOP]) {
      await page.setViewportSize(viewport);
      for (const theme of ['light', 'dark'] as const) {
        await page.emulateMedia({ colorScheme: theme, reducedMotion: 'reduce' });
        await page.waitForTimeout(150);
        expect(await axeViolations(page), `${name}, ${viewport.width}, ${theme}`).toEqual([]);
        expect(await page.evaluate(STICKING_OUT), `${name}: wider than the screen`).toEqual([]);
        if (PICTURES !== undefined) {
          await page.screenshot({ path: join(PICTURES, `${name}-${viewport.width}-${theme}.png`) });
        }
      }
    }
  }

  test('a device that was not let in sees a small page for the code and nothing else', async () => {
    await device.goto(networkAddress());
    await device.getByTestId('code').waitFor();
    expect(await device.getByTestId('gap').count()).toBe(0);
    await look(device, 'let-in');
    await device.setViewportSize(PHONE);
  });

  test('a code that is wrong is refused in a sentence', async () => {
    await device.getByTestId('code').fill('12 34 56');
    expect(await device.getByTestId('code').inputValue()).toBe('123456');
    await device.getByTestId('let-in').click();
    await device.locator('[data-testid=let-in-error][data-code=code-not-accepted]').waitFor();
    await look(device, 'let-in-refused');
    await device.setViewportSize(PHONE);
  });

  test('the instrument shows a code for the chosen role, and a QR code that holds the link', async () => {
    await instrument.goto(`${service.url}/#setup`);
    await instrument.getByTestId('open-devices').click();
    await instrument.getByTestId('offer-code').waitFor();
    await look(instrument, 'devices');
    await instrument.getByLabel('Only look').check();
    await instrument.getByTestId('offer-code').click();
    await instrument.getByTestId('offered-code').waitFor();
    await look(instrument, 'devices-offer');
    const code = await instrument.getByTestId('offered-code').getAttribute('data-code');
    const address = (await instrument.getByTestId('offer-address').textContent())?.trim();
    const pixels = (await instrument.evaluate(QR_PIXELS)) as number[];
    const read = jsQR.default(Uint8ClampedArray.from(pixels), 400, 400);
    expect(read?.data).toBe(`${address}#let-in=${code}`);
    expect(address).toMatch(/^http:\/\/[\d.]+:\d+\/$|^http:\/\/\[[\da-f:]+\]:\d+\/$/);
  });

  test('the link fills the code in, the code leaves the address, and the device is let in to look', async () => {
    const code = await instrument.getByTestId('offered-code').getAttribute('data-code');
    await device.goto('about:blank');
    await device.goto(`${networkAddress()}#let-in=${code}`);
    await device.getByTestId('code').waitFor();
    expect(await device.getByTestId('code').inputValue()).toBe(code);
    expect(device.url()).not.toContain(code!);
    await device.getByTestId('device-name').fill('Phone at the lift');
    await device.getByTestId('let-in').click();
    await device.getByTestId('gap').waitFor();
    await device.getByTestId('view-only-band').waitFor();
    await device.waitForSelector('[data-testid=source-state][data-link=live]', { state: 'attached' });
    await look(device, 'bench-view-only');
    await instrument.getByText('A device was let in').waitFor();
    await instrument.getByText('Only looks, connected now').waitFor();
    await look(instrument, 'devices-list');
  });

  test('its cookie is out of reach of scripts', async () => {
    expect(await device.evaluate('document.cookie')).toBe('');
    const [cookie] = await device.context().cookies();
    expect(cookie).toMatchObject({ httpOnly: true, sameSite: 'Strict' });
  });

  test('what it may not do is refused in a sentence', async () => {
    await device.setViewportSize(DESKTOP);
    await device.getByTestId('capture-before').click();
    await device.locator('[data-testid=notice][data-code=view-only-device]').waitFor();
  });

  test('removed on the instrument it is shown out at once, back to the page for the code', async () => {
    await instrument.getByRole('button', { name: 'Remove Phone at the lift' }).click();
    await device.getByTestId('code').waitFor();
    expect(await device.getByTestId('gap').count()).toBe(0);
    await instrument.getByText('None. Only browsers').waitFor();
  });

  test('a device that operates takes a capture, and stays let in when the page is loaded again', async () => {
    await instrument.getByLabel('Operate', { exact: true }).check();
    await instrument.getByTestId('offer-code').click();
    const code = await instrument.getByTestId('offered-code').getAttribute('data-code');
    await device.getByTestId('code').fill(code!);
    await device.getByTestId('let-in').click();
    await device.getByTestId('capture-before').click();
    await device.getByTestId('capture-stop').click();
    await device.reload();
    await device.getByTestId('gap').waitFor();
    expect(await device.getByTestId('view-only-band').count()).toBe(0);
    // It finds no way to let others in.
    await device.goto(`${networkAddress()}#setup`);
    await device.getByRole('heading', { name: 'This screen' }).waitFor();
    expect(await device.getByTestId('open-devices').count()).toBe(0);
  });

  test('no page broke its content policy or threw', () => {
    expect(errors).toEqual([]);
  });
});
