import { fileURLToPath } from 'node:url';
import type { Browser } from 'playwright-core';
import { build, type Rollup } from 'vite';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { openBrowser } from '../browser.ts';

const RATE = 8_000;
const SECONDS = 4;
/** The glides have died away by then [s]. */
const SETTLED_S = 0.5;

let browser: Browser;
let bundle: string;

beforeAll(async () => {
  browser = await openBrowser();
  const built = (await build({
    configFile: false,
    logLevel: 'error',
    build: {
      write: false,
      minify: false,
      lib: {
        entry: fileURLToPath(new URL('../../../client/ear/ear-tones.ts', import.meta.url)),
        formats: ['iife'],
        name: 'ear',
      },
    },
  })) as Rollup.RollupOutput[];
  bundle = built[0]!.output[0].code;
});

afterAll(async () => {
  await browser.close();
});

/** What each ear hears for a cue, rendered by the browser's own sound engine. */
async function render(first: object | null, second: object | null = null): Promise<[number[], number[]]> {
  const page = await browser.newPage();
  await page.evaluate(`${bundle}; window.ear = ear`);
  const channels: [number[], number[]] = await page.evaluate(`(async () => {
    const context = new OfflineAudioContext(2, ${RATE * SECONDS}, ${RATE});
    const tones = ear.makeEarTones(context);
    const first = ${JSON.stringify(first)}, second = ${JSON.stringify(second)};
    if (first) tones.set(first, 1, 0);
    if (second) tones.set(second, 1, ${SECONDS / 2});
    const heard = await context.startRendering();
    return [Array.from(heard.getChannelData(0)), Array.from(heard.getChannelData(1))];
  })()`);
  await page.close();
  return channels;
}

/** Loudness over time: root mean square of 20 ms pieces, after the glides. */
function envelope(samples: readonly number[], fromS = SETTLED_S, toS = SECONDS): number[] {
  const piece = RATE / 50;
  const out: number[] = [];
  for (let at = fromS * RATE; at + piece <= toS * RATE; at += piece) {
    let sum = 0;
    for (let i = 0; i < piece; i++) sum += samples[at + i]! ** 2;
    out.push(Math.sqrt(sum / piece));
  }
  return out;
}

/** Times that the loudness rises through its middle, per second. */
function swellsPerSecond(loudness: readonly number[]): number {
  const middle = (Math.max(...loudness) + Math.min(...loudness)) / 2;
  let rises = 0;
  for (let i = 1; i < loudness.length; i++) if (loudness[i - 1]! < middle && loudness[i]! >= middle) rises++;
  return rises / (loudness.length / 50);
}

const cue = (beatHz: number | null, firstPullsMore = true) => ({ beatHz, firstPullsMore, sides: [1, 2] });

describe('the ear cue in the browser’s sound engine', () => {
  test.each([2, 4, 8])(
    'a beat of %i Hz is heard as that many swells in a second, in both ears',
    async (beat) => {
      for (const samples of await render(cue(beat))) {
        const loudness = envelope(samples);
        expect(swellsPerSecond(loudness)).toBeGreaterThan(beat - 0.6);
        expect(swellsPerSecond(loudness)).toBeLessThan(beat + 0.6);
        expect(Math.max(...loudness) / Math.min(...loudness)).toBeGreaterThan(2);
      }
    },
  );

  test('inside the band it is one steady tone, as loud in one ear as in the other', async () => {
    const [left, right] = await render(cue(0));
    for (const samples of [left, right]) {
      const loudness = envelope(samples);
      expect(Math.max(...loudness) / Math.min(...loudness)).toBeLessThan(1.1);
      expect(Math.min(...loudness)).toBeGreaterThan(0.1);
    }
    expect(envelope(left)[0]! / envelope(right)[0]!).toBeCloseTo(1, 2);
  });

  test('coming from a beat at any moment, the steady tone never dies away by bad luck of phase', async () => {
    for (const beat of [1.1, 2.3, 3.7]) {
      const [left] = await render(cue(beat), cue(0));
      const loudness = envelope(left, SECONDS / 2 + SETTLED_S);
      expect(Math.min(...loudness)).toBeGreaterThan(0.1);
    }
  });

  test('without a reading there is silence', async () => {
    const [left, right] = await render(cue(3), cue(null));
    const quiet = [...envelope(left, SECONDS / 2 + SETTLED_S), ...envelope(right, SECONDS / 2 + SETTLED_S)];
    expect(Math.max(...quiet)).toBeLessThan(1e-3);
  });

  test('nothing clips', async () => {
    for (const samples of await render(cue(5)))
      expect(Math.max(...samples.map(Math.abs))).toBeLessThanOrEqual(1);
    for (const samples of await render(cue(0)))
      expect(Math.max(...samples.map(Math.abs))).toBeLessThanOrEqual(1);
  });
});
