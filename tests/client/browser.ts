import { existsSync } from 'node:fs';
import { type Browser, chromium } from 'playwright-core';

const SYSTEM_CHROMIUM = '/usr/bin/chromium';

/** A real browser: the one named in the environment, the system's, or the one of the package. Fails where there is none. */
export async function openBrowser(): Promise<Browser> {
  const named = process.env.IDLEWRIGHT_TEST_BROWSER;
  const args = ['--no-sandbox', '--autoplay-policy=no-user-gesture-required'];
  if (named !== undefined) return chromium.launch({ executablePath: named, args });
  if (existsSync(SYSTEM_CHROMIUM)) return chromium.launch({ executablePath: SYSTEM_CHROMIUM, args });
  process.env.AWS_LAMBDA_JS_RUNTIME ??= 'nodejs20.x';
  const { default: packaged } = await import('@sparticuz/chromium');
  return chromium.launch({
    executablePath: await packaged.executablePath(),
    args: [...packaged.args, ...args],
  });
}
