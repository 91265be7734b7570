import { existsSync } from 'node:fs';
import { type Browser, chromium } from 'playwright-core';

const SYSTEM_CHROMIUM = '/usr/bin/chromium';
const INSTALLED = [
  '/usr/bin/chromium-browser',
  '/usr/bin/google-chrome',
  '/usr/bin/google-chrome-stable',
  '/usr/bin/microsoft-edge',
  '/opt/google/chrome/chrome',
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  '/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge',
  'C:\\Program Files\\Google\\Chrome\\Application\\chrome.exe',
  'C:\\Program Files (x86)\\Microsoft\\Edge\\Application\\msedge.exe',
];

/**
 * A real browser: the one named by IDLEWRIGHT_TEST_BROWSER, the system's Chromium, an installed Chrome or Edge, or
 * the one of the package. Fails in one sentence where there is none.
 */
export async function launchBrowser(): Promise<Browser> {
  const named = process.env.IDLEWRIGHT_TEST_BROWSER;
  const found = named ?? [SYSTEM_CHROMIUM, ...INSTALLED].find((path) => existsSync(path));
  try {
    if (found !== undefined) return await chromium.launch({ executablePath: found, args: ['--no-sandbox'] });
    process.env.AWS_LAMBDA_JS_RUNTIME ??= 'nodejs20.x';
    const { default: packaged } = await import('@sparticuz/chromium');
    return await chromium.launch({
      executablePath: await packaged.executablePath(),
      args: [...packaged.args, '--no-sandbox'],
    });
  } catch (error) {
    throw new Error(
      `No browser could be started (${found ?? 'none installed'}): install chromium, or name one in IDLEWRIGHT_TEST_BROWSER.`,
      { cause: error },
    );
  }
}
