import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { expect, test } from 'vitest';
import { galleryPictures } from '../../../server/guide/gallery-pictures.ts';
import { guidePage } from '../../../server/guide/guide-page.ts';
import { checkGuide } from '../../../server/session/checks/check-guide.ts';
import { WEAK_BELOW } from '../../../server/signal/missed-pulses.ts';
import { HALF_SCORE_AT } from '../../../server/signal/roughness.ts';

import { appBench } from '../http/app-bench.ts';

const FOLDER = resolve(import.meta.dirname, '../../../server/guide');
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
    expect(existsSync(join(FOLDER, source!)), source).toBe(true);
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

test('every screen with a button at the top has its paragraph', () => {
  const views = readFileSync(resolve(FOLDER, '../../client/views/view.ts'), 'utf8');
  const names = [...views.matchAll(/id: '\w+', name: '([^']+)'/g)].map((match) => match[1]);
  expect(names.length).toBeGreaterThan(4);
  for (const name of names) expect(guide).toContain(`\n### ${name}\n`);
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
