import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { RunningService } from '../server/running-service.ts';
import { builtProgram } from './built-program.ts';

/** Longer than any step takes on a busy computer. */
export const PATIENCE_MS = 60_000;

/** One built program with its practice engine in real time, and a page on its checks that is used as a person does. */
export class CheckBench {
  readonly pageErrors: string[] = [];
  readonly page: Page;
  readonly #service: RunningService;
  readonly #folder: string;

  private constructor(service: RunningService, folder: string, page: Page) {
    this.#service = service;
    this.#folder = folder;
    this.page = page;
    page.setDefaultTimeout(PATIENCE_MS);
    page.on('pageerror', (error) => this.pageErrors.push(String(error)));
  }

  static async start(browser: Browser): Promise<CheckBench> {
    const folder = mkdtempSync(join(tmpdir(), 'idlewright-checks-'));
    const service = await RunningService.start(
      ['--port', '0', '--data', join(folder, 'data'), '--source', 'practice'],
      {},
      builtProgram(),
    );
    const context = await browser.newContext({ viewport: { width: 390, height: 844 }, locale: 'en-US' });
    await context.addInitScript({
      content:
        "for (const seen of ['cautions', 'tour']) localStorage.setItem('idlewright.' + seen + '-seen', 'yes')",
    });
    const bench = new CheckBench(service, folder, await context.newPage());
    await bench.page.goto(`${service.url}/#checks`);
    return bench;
  }

  async stop(): Promise<void> {
    await this.page.context().close();
    await this.#service.kill('SIGTERM');
    rmSync(this.#folder, { recursive: true, force: true });
  }

  /** Turns screws and makes faults on the practice engine. */
  async patch(body: object): Promise<void> {
    const answer = await fetch(`${this.#service.url}/api/practice`, {
      method: 'PATCH',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(body),
    });
    if (answer.status !== 200) throw new Error(`The practice engine answered ${answer.status}`);
  }

  /** Opens a check and reads its cautions. @returns whether it could have been started without */
  async open(kind: string): Promise<boolean> {
    const { page } = this;
    const back = page.getByTestId('all-checks');
    if (await back.isVisible()) await back.click();
    await page.getByTestId(`check-${kind}`).click();
    const read = page.getByTestId('cautions-read');
    if (!(await read.isVisible())) return true;
    const free = await page.getByTestId('check-start').isEnabled();
    await read.check();
    return free;
  }

  async enter(id: string, value: string): Promise<void> {
    await this.page.locator(id).fill(value);
    await this.page.locator(id).press('Enter');
  }

  async press(testId: string): Promise<void> {
    await this.page.getByTestId(testId).click();
  }

  async start(): Promise<void> {
    await this.press('check-start');
  }

  /** Holds the space bar when the wait is over, until the screen says to let go. */
  async obey(presses: number): Promise<void> {
    const { page } = this;
    const waited = () => page.getByTestId('check-left').filter({ hasText: /^0 s$/ }).waitFor();
    const held = page.locator('[data-testid=check-hold][aria-pressed=true]');
    for (let press = 0; press < presses; press++) {
      await waited();
      await page.keyboard.down(' ');
      await held.waitFor();
      await waited();
      await page.keyboard.up(' ');
      await held.waitFor({ state: 'detached' });
    }
  }

  /** Verdicts of the whole and of each row, once they are there. */
  async result(): Promise<{ verdict: string | null; rows: (string | null)[] }> {
    const panel = this.page.getByTestId('check-result');
    await panel.waitFor();
    const rows = await this.page.getByTestId('check-row').all();
    return {
      verdict: await panel.getAttribute('data-verdict'),
      rows: await Promise.all(rows.map((row) => row.getAttribute('data-verdict'))),
    };
  }
}
