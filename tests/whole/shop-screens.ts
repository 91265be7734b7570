import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { expect } from 'vitest';
import { axeViolations } from '../client/screen/axe.ts';
import { RunningService } from '../server/running-service.ts';
import { builtProgram } from './built-program.ts';
import { launchBrowser } from './find-browser.ts';

export const PHONE = { width: 360, height: 740 };
export const TABLET = { width: 768, height: 1024 };
export const DESKTOP = { width: 1920, height: 1080 };
/** A busy computer may take its time. */
export const PATIENT = { timeout: 60_000 };

/** The built program on the practice engine with a data folder of its own, and screens that look at it. */
export class ShopScreens {
  readonly folder: string;
  readonly service: RunningService;
  readonly browser: Browser;
  /** What went wrong in the pages. */
  readonly errors: string[] = [];

  private constructor(folder: string, service: RunningService, browser: Browser) {
    this.folder = folder;
    this.service = service;
    this.browser = browser;
  }

  static async open(): Promise<ShopScreens> {
    const folder = mkdtempSync(join(tmpdir(), 'idlewright-shop-'));
    const service = await RunningService.start(
      ['--source', 'practice', '--port', '0', '--data', join(folder, 'data')],
      {},
      builtProgram(),
    );
    return new ShopScreens(folder, service, await launchBrowser());
  }

  async close(): Promise<void> {
    await this.browser.close();
    await this.service.kill('SIGTERM');
    rmSync(this.folder, { recursive: true, force: true });
    expect(this.errors).toEqual([]);
  }

  /** Without motion: a colour on its way to the other theme would be judged half-way. */
  async newPage(viewport: { width: number; height: number }): Promise<Page> {
    const context = await this.browser.newContext({
      viewport,
      reducedMotion: 'reduce',
      acceptDownloads: true,
    });
    return this.anotherPage(context);
  }

  /** In the same browser: with what it remembers. */
  async anotherPage(context: BrowserContext): Promise<Page> {
    const page = await context.newPage();
    page.setDefaultTimeout(PATIENT.timeout);
    page.on('pageerror', (error) => this.errors.push(error.message));
    // Asked whether to leave with something unsaved, it is left.
    page.on('dialog', (dialog) => dialog.accept());
    await page.addInitScript(
      "for (const seen of ['cautions', 'tour']) localStorage.setItem('idlewright.' + seen + '-seen', 'yes')",
    );
    return page;
  }

  async ask<T>(method: string, path: string, body?: unknown): Promise<T> {
    const answer = await fetch(`${this.service.url}/api/${path}`, {
      method,
      ...(body === undefined
        ? {}
        : { body: JSON.stringify(body), headers: { 'content-type': 'application/json' } }),
    });
    expect(answer.ok, `${method} ${path}: ${answer.status}`).toBe(true);
    return (await answer.json()) as T;
  }
}

/** Types into a field and leaves it, as a person does. */
export async function enter(page: Page, field: string, text: string): Promise<void> {
  await page.fill(field, text);
  await page.press(field, 'Tab');
}

/** What axe finds in both themes on the smallest and the largest screen, and whether any has to be scrolled sideways. */
export async function noViolations(page: Page, what: string): Promise<void> {
  for (const size of [TABLET, DESKTOP, PHONE]) {
    await page.setViewportSize(size);
    const fits = await page.evaluate('document.documentElement.scrollWidth <= innerWidth');
    expect(fits, `${what}, ${size.width} px, scrolls sideways`).toBe(true);
    expect(await page.evaluate(CUT_CHOICES), `${what}, ${size.width} px, choices cut off`).toEqual([]);
    if (size === TABLET) continue;
    for (const theme of ['light', 'dark']) {
      await page.evaluate(`document.documentElement.dataset.theme = '${theme}'`);
      expect(await axeViolations(page), `${what}, ${theme}, ${size.width} px`).toEqual([]);
    }
  }
}

/** Choices whose words are wider than the room that their field has for them. */
const CUT_CHOICES = `(() => {
  const pen = document.createElement('canvas').getContext('2d');
  return [...document.querySelectorAll('select')].flatMap((field) => {
    const style = getComputedStyle(field);
    pen.font = style.font;
    const room = field.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight);
    return [...field.options]
      .filter(({ text }) => field.clientWidth > 0 && pen.measureText(text).width > room)
      .map(({ text }) => field.id + ': ' + text);
  });
})()`;
