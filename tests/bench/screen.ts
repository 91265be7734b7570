import { mkdtemp, rm } from 'node:fs/promises';
import { loadavg, tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import type { CDPSession, Page } from 'playwright-core';
import { quantile } from 'simple-statistics';
import { openBrowser } from '../client/browser.ts';
import { RunningService } from '../server/running-service.ts';
import { builtProgram } from '../whole/built-program.ts';
import { type AccuracyRow, accuracyRow } from './accuracy-row.ts';

const LAYOUT = 'v-eight';
const THROTTLE_TIMES = 4;
/** The chart shows the last minute: it is full from then on. */
const FILL_MS = 65_000;
const WINDOW_MS = 5_000;
const FRAME_BOUND_MS = 33;
const LAG_BOUND_MS = 100;
const GROWTH_BOUND_MB_PER_HOUR = 20;

/** Runs in the page: frame intervals, and for each update the time from the board's bytes to the picture that has it. */
const PROBE = `{
  window.frames = [];
  window.lags = [];
  let before = null;
  const frame = (now) => {
    if (before !== null) window.frames.push(now - before);
    before = now;
    requestAnimationFrame(frame);
  };
  requestAnimationFrame(frame);
  // One for all: a channel for each update would be memory that the page does not give back.
  const drawn = new MessageChannel();
  drawn.port1.onmessage = ({ data: arrivedMs }) => window.lags.push(Date.now() - arrivedMs);
  const Socket = window.WebSocket;
  window.WebSocket = class extends Socket {
    constructor(...all) {
      super(...all);
      this.addEventListener('message', ({ data }) => {
        const message = JSON.parse(data);
        if (message.type !== 'update') return;
        // The page draws in the next frame; a task after it runs when the picture has been handed over.
        requestAnimationFrame(() => drawn.port2.postMessage(message.sentAtMs - message.lagMs));
      });
    }
  };
  localStorage.setItem('idlewright.cautions-seen', 'yes');
  localStorage.setItem('idlewright.tour-seen', 'yes');
}`;

/**
 * The bench of eight cylinders with a full minute on it, on a processor made four times slower.
 *
 * @param windows of five seconds each
 * @param filledMs how long the chart is filled first
 */
export async function screenRows(windows: number, filledMs = FILL_MS): Promise<AccuracyRow[]> {
  const folder = await mkdtemp(join(tmpdir(), 'idlewright-bench-'));
  const args = ['--port', '0', '--data', folder, '--source', 'practice'];
  const service = await RunningService.start(args, {}, builtProgram());
  const browser = await openBrowser();
  try {
    await service.send('PATCH', '/api/practice', { layout: LAYOUT });
    const context = await browser.newContext({ viewport: { width: 1280, height: 800 }, locale: 'en-US' });
    await context.addInitScript({ content: PROBE });
    const page = await context.newPage();
    await page.goto(`${service.url}/#bench`);
    await page.waitForFunction('document.querySelectorAll(".rail .rail-plate").length === 8');
    const devtools = await context.newCDPSession(page);
    await wait(filledMs);
    const heapBefore = await heapMb(devtools);
    const startMs = Date.now();
    await devtools.send('Performance.enable', { timeDomain: 'threadTicks' });
    const busyBefore = await busySeconds(devtools);
    const plainFromMs = Date.now();
    const plainMs = await windowOf(page);
    const ownShare = (1000 * ((await busySeconds(devtools)) - busyBefore)) / (Date.now() - plainFromMs);
    await devtools.send('Emulation.setCPUThrottlingRate', { rate: THROTTLE_TIMES });
    const slow: Window[] = [];
    for (let at = 0; at < windows; at++) slow.push(await windowOf(page));
    await devtools.send('Emulation.setCPUThrottlingRate', { rate: 1 });
    const hours = (Date.now() - startMs) / 3_600_000;
    const growthMb = (await heapMb(devtools)) - heapBefore;
    const own = 1000 * ownShare;
    const load = `load of the machine ${loadavg()
      .map((part) => part.toFixed(1))
      .join(' ')} meanwhile`;
    return [
      row(
        `time between frames, 8 cylinders, processor ${THROTTLE_TIMES} times slower, 95th percentile`,
        slow,
        'frames',
        {
          boundMs: FRAME_BOUND_MS,
          reference: `${p95(plainMs.frames).toFixed(1)} ms on the processor as it is; ${load}`,
        },
      ),
      row(
        `from bytes of the board to the picture, 8 cylinders, processor ${THROTTLE_TIMES} times slower, 95th percentile`,
        slow,
        'lags',
        {
          boundMs: LAG_BOUND_MS,
          reference: `${p95(plainMs.lags).toFixed(1)} ms on the processor as it is; ${load}`,
        },
      ),
      // A busy machine makes every frame late, but does not make the page do more.
      accuracyRow(
        `processor time of the page's main thread in a second, ${THROTTLE_TIMES} times over`,
        'ms',
        [{ label: 'the run', value: THROTTLE_TIMES * own }],
        {
          pooled: THROTTLE_TIMES * own,
          bound: '< 1000, or a processor so slow could not keep up',
          holds: THROTTLE_TIMES * own < 1000,
          reference: `${own.toFixed(0)} ms on the processor as it is, in time of the thread and not of the clock`,
        },
      ),
      accuracyRow(
        'memory of the page that is not given back',
        'MB',
        [{ label: 'the run', value: growthMb }],
        {
          pooled: growthMb,
          bound: `< ${GROWTH_BOUND_MB_PER_HOUR} in an hour, or 1 in a shorter run`,
          holds: growthMb < Math.max(1, GROWTH_BOUND_MB_PER_HOUR * hours),
          reference: `${heapBefore.toFixed(1)} MB before, over ${(60 * hours).toFixed(1)} minutes`,
        },
      ),
    ];
  } finally {
    await browser.close();
    await service.kill('SIGTERM');
    await rm(folder, { recursive: true, force: true });
  }
}

interface Window {
  readonly frames: number[];
  readonly lags: number[];
}

async function windowOf(page: Page): Promise<Window> {
  await page.evaluate('window.frames = []; window.lags = []');
  await wait(WINDOW_MS);
  return page.evaluate<Window>('({ frames: window.frames, lags: window.lags })');
}

function row(
  what: string,
  windows: readonly Window[],
  figure: keyof Window,
  { boundMs, reference }: { readonly boundMs: number; readonly reference: string },
): AccuracyRow {
  const pooled = p95(windows.flatMap((window) => window[figure]));
  return accuracyRow(
    what,
    'ms',
    windows.map((window, at) => ({ label: `window ${at + 1}`, value: p95(window[figure]) })),
    { pooled, bound: `< ${boundMs}`, holds: pooled < boundMs, reference },
  );
}

function p95(values: readonly number[]): number {
  return values.length === 0 ? Number.NaN : quantile([...values], 0.95);
}

/** Processor time that the main thread has used [s]. */
async function busySeconds(devtools: CDPSession): Promise<number> {
  const { metrics } = await devtools.send('Performance.getMetrics');
  return metrics.find(({ name }) => name === 'TaskDuration')?.value ?? Number.NaN;
}

async function heapMb(devtools: CDPSession): Promise<number> {
  await devtools.send('HeapProfiler.collectGarbage');
  const { usedSize } = await devtools.send('Runtime.getHeapUsage');
  return usedSize / 1e6;
}
