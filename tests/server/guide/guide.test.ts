import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { expect, test } from 'vitest';
import { REMIND_BEFORE_DAYS } from '../../../calibration/calibration-age.ts';
import { LEAST_MATCHING_SPAN_KPA, LEAST_STEPS, MOST_SCATTER_KPA } from '../../../calibration/matching.ts';
import {
  CODE_LIFE_MS,
  LOCK_OUT_MS,
  TRIES_PER_ADDRESS,
  TRIES_PER_CODE,
} from '../../../server/access/pairing.ts';
import { galleryPictures } from '../../../server/guide/gallery-pictures.ts';
import { guidePage } from '../../../server/guide/guide-page.ts';
import { ZERO_RECORD_S } from '../../../server/session/calibration-desk.ts';
import { checkGuide } from '../../../server/session/checks/check-guide.ts';
import { HOLDS_S, LEAST_S, MOST_S, SURE_PART } from '../../../server/session/planned-capture.ts';
import { FEWEST_BLIPS } from '../../../server/signal/condition/blip-response.ts';
import { DEFAULT_PASS_LIMIT } from '../../../server/signal/leak/hold-test.ts';
import { CHOKED_FACTOR, CRITICAL_RATIO } from '../../../server/signal/leak/orifice-leak.ts';
import { DEFAULT_PRESS_S, DEFAULT_REPEATS } from '../../../server/signal/leak/spot-plan.ts';
import { WORTH_IDLE_PERCENT, WORTH_VACUUM_KPA } from '../../../server/signal/leak/spot-test.ts';
import { WEAK_BELOW } from '../../../server/signal/missed-pulses.ts';
import { HALF_SCORE_AT } from '../../../server/signal/roughness.ts';

import { appBench } from '../http/app-bench.ts';

const ROOT = resolve(import.meta.dirname, '../../..');
const FOLDER = join(ROOT, 'server/guide');
const guide = readFileSync(join(FOLDER, 'guide.md'), 'utf8');
const page = guidePage(guide);

const NUMBER = /\d+(\.\d+)?/g;
const withoutNumbers = (svg: string) => svg.replace(NUMBER, '#');
const numbersOf = (svg: string) => svg.match(NUMBER)!.map(Number);

test('the gallery is what the practice engine draws today', () => {
  const pictures = galleryPictures();
  for (const { name, svg } of pictures) {
    const kept = readFileSync(join(FOLDER, 'gallery', `${name}.svg`), 'utf8');
    // The last digit may fall to the other side on another computer.
    expect(withoutNumbers(svg), name).toBe(withoutNumbers(kept));
    const keptNumbers = numbersOf(kept);
    for (const [at, number] of numbersOf(svg).entries()) {
      expect(Math.abs(number - keptNumbers[at]!), `${name}, number ${at}`).toBeLessThan(0.25);
    }
    expect(guide).toContain(`gallery/${name}.svg`);
  }
  expect(pictures.length).toBe(guide.match(/gallery\//g)!.length);
});

test('the page shows every picture, and needs no script, no style of its own and no internet', () => {
  for (const [, source] of page.matchAll(/(?:src|href)="([^"]+)"/g)) {
    if (source!.startsWith('#')) expect(page.split(`id="${source!.slice(1)}"`), source).toHaveLength(2);
    else expect(existsSync(join(FOLDER, source!)), source).toBe(true);
  }
  expect(page).not.toMatch(/<script|style=|<style|https?:/);
  expect(page.match(/<h1/g)).toHaveLength(1);
});

test('every check of the program is told of, with the figures that the code uses', () => {
  for (const { name } of checkGuide().checks) expect(guide).toContain(`| ${name} `);
  expect(guide).toContain(`shallower than ${WEAK_BELOW} of the usual`);
  expect(guide).toContain(`choppiness / ${HALF_SCORE_AT.choppinessPercent} %`);
  expect(guide).toContain(`hunting / ${HALF_SCORE_AT.huntingAmplitudePercent} %`);
  expect(guide).toContain(`depth variation / ${HALF_SCORE_AT.depthCovPercent} %`);
  expect(guide).toContain(`pulses a minute / ${HALF_SCORE_AT.missedPerMinute}`);
});

test('limits and times are those of the code', () => {
  const told = guide.replace(/\s+/g, ' ');
  for (const words of [
    `after ${HOLDS_S} s without movement`,
    `after ${LEAST_S} s at the earliest and ${MOST_S} s at the latest`,
    `in ${LEAST_STEPS} or more steps, the first and the last at least ${LEAST_MATCHING_SPAN_KPA} kPa apart`,
    `more than ${MOST_SCATTER_KPA} kPa of scatter is refused`,
    `reminded of ${REMIND_BEFORE_DAYS} days before`,
    `${DEFAULT_PASS_LIMIT.dropKpa} kPa in ${DEFAULT_PASS_LIMIT.inS} s unless`,
    `hold the button for ${DEFAULT_PRESS_S} seconds`,
    `moves the idle by ${WORTH_IDLE_PERCENT} % or a vacuum by ${WORTH_VACUUM_KPA} kPa`,
    `below ${CRITICAL_RATIO.toFixed(3)} of that outside`,
    `\`φ\` = ${CHOKED_FACTOR.toFixed(3)}`,
  ])
    expect(told, words).toContain(words);
  expect([SURE_PART, ZERO_RECORD_S, DEFAULT_REPEATS, FEWEST_BLIPS]).toEqual([0.25, 3, 3, 3]);
  expect([CODE_LIFE_MS, TRIES_PER_CODE, TRIES_PER_ADDRESS, LOCK_OUT_MS]).toEqual([120_000, 10, 5, 900_000]);
});

test('every screen with a button at the top has its paragraph', () => {
  const views = readFileSync(resolve(FOLDER, '../../client/views/view.ts'), 'utf8');
  const names = [...views.matchAll(/id: '\w+', name: '([^']+)'/g)].map((match) => match[1]);
  expect(names.length).toBeGreaterThan(4);
  for (const name of names) expect(guide).toContain(`\n### ${name}\n`);
});

test('what guide and README call a screen, a button or a word of the program is called so there', () => {
  const program = ['client', 'server/contract', 'server/session', 'server/signal', 'server/errors']
    .flatMap((part) =>
      readdirSync(join(ROOT, part), { recursive: true, encoding: 'utf8' })
        .filter((file) => /\.tsx?$/.test(file))
        .map((file) => readFileSync(join(ROOT, part, file), 'utf8')),
    )
    .join(' ')
    .replace(/\s+/g, ' ')
    .replaceAll('’', "'")
    .toLowerCase();
  for (const document of ['README.md', 'server/guide/guide.md']) {
    const text = readFileSync(join(ROOT, document), 'utf8')
      .replace(/^```[\s\S]*?^```/gm, '')
      .replace(/\s+/g, ' ');
    const names = [...text.matchAll(/(?<![\w`])_([A-Za-z][^_]*)_(?!\w)/g)].map((match) => match[1]!);
    expect(names.length, document).toBeGreaterThan(20);
    const unknown = names.filter((name) => !program.includes(name.replaceAll('’', "'").toLowerCase()));
    // The number is put in by the program.
    expect(
      unknown.filter((name) => name !== 'boot 1'),
      document,
    ).toEqual([]);
  }
});

test('the program serves it at /guide, under the content policy', async () => {
  const clientFolder = mkdtempSync(join(tmpdir(), 'idlewright-guide-'));
  mkdirSync(join(clientFolder, 'guide'));
  writeFileSync(join(clientFolder, 'guide/index.html'), page);
  writeFileSync(join(clientFolder, 'index.html'), '<p>the screens</p>');
  const { app } = await appBench('serial', { clientFolder });
  try {
    const headers = { host: 'localhost', accept: 'text/html' };
    const first = await app.inject({ url: '/guide', headers });
    expect(first.statusCode).toBe(301);
    const second = await app.inject({ url: String(first.headers.location), headers });
    expect(second.body).toBe(page);
    expect(second.headers['content-security-policy']).toContain("style-src 'self'");
    expect((await app.inject({ url: '/jobs', headers })).body).toContain('the screens');
  } finally {
    await app.close();
    rmSync(clientFolder, { recursive: true, force: true });
  }
});
