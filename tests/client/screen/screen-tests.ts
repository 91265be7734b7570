import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, expect } from 'vitest';
import { openBrowser } from '../browser.ts';
import { FakeServer } from './fake-server.ts';
import { faults, type OpenOptions, openPage } from './open-page.ts';

let browser: Browser;
/** The server of the test that runs. */
export let server: FakeServer;
/** The page that the test opened last. */
export let page: Page;

/**
 * One browser for the tests of a file, and for each test a server of its own. The page that it opened must have had
 * nothing to complain of.
 *
 * @param prepare is done when the server has started, before each test
 */
export function screenTests(prepare: () => unknown = () => {}): void {
  beforeAll(async () => {
    browser = await openBrowser();
  });
  afterAll(async () => {
    await browser.close();
  });
  beforeEach(async () => {
    server = await new FakeServer().start();
    await prepare();
  });
  afterEach(async () => {
    expect(faults(page)).toEqual([]);
    await page.context().close();
    await server.stop();
  });
}

/** Opens a page on the test's server. */
export async function open(options: OpenOptions = {}): Promise<Page> {
  page = await openPage(browser, server, options);
  return page;
}
