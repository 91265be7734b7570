import type { Browser, BrowserContextOptions, Page } from 'playwright-core';
import type { FakeServer } from './fake-server.ts';

export const SCREENS = {
  phone: { width: 360, height: 740 },
  tablet: { width: 768, height: 1024 },
  tabletAcross: { width: 1024, height: 768 },
  desktop: { width: 1920, height: 1080 },
  landscape: { width: 740, height: 360 },
} as const;

export interface OpenOptions {
  readonly screen?: keyof typeof SCREENS;
  readonly theme?: 'light' | 'dark';
  readonly hash?: string;
  readonly cautionsSeen?: boolean;
  readonly context?: BrowserContextOptions;
}

/** Opens the page on a screen of that size. Anything that the page throws or logs as an error fails the test that closes it. */
export async function openPage(
  browser: Browser,
  server: FakeServer,
  options: OpenOptions = {},
): Promise<Page> {
  const { screen = 'desktop', theme = 'light', hash = 'bench', cautionsSeen = true, context = {} } = options;
  const opened = await browser.newContext({
    viewport: SCREENS[screen],
    colorScheme: theme,
    locale: 'en-US',
    ...context,
  });
  if (cautionsSeen) {
    await opened.addInitScript({
      content:
        "for (const seen of ['cautions', 'tour']) localStorage.setItem('idlewright.' + seen + '-seen', 'yes')",
    });
  }
  const page = await opened.newPage();
  page.on('pageerror', (error) => faults(page).push(String(error)));
  page.on('console', (message) => {
    if (message.type() === 'error' && !/WebSocket|Failed to load resource/.test(message.text()))
      faults(page).push(message.text());
  });
  await page.goto(`${server.address}#${hash}`);
  await page.waitForSelector('[data-testid=source-state][data-link=live]', { state: 'attached' });
  return page;
}

const faultsOf = new WeakMap<Page, string[]>();

/** What the page threw or logged as an error so far. */
export function faults(page: Page): string[] {
  let list = faultsOf.get(page);
  if (list === undefined) {
    list = [];
    faultsOf.set(page, list);
  }
  return list;
}
