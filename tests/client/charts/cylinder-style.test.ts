import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { cylinderStyle, lineColour, plateColours } from '../../../client/charts/cylinder-style.ts';
import { contrast } from './wcag-contrast.ts';

// Okabe & Ito, 'Color Universal Design' (2008), table of the eight colours, and white for black on a dark ground.
const OKABE_ITO = [
  '#000000',
  '#E69F00',
  '#56B4E9',
  '#009E73',
  '#F0E442',
  '#0072B2',
  '#D55E00',
  '#CC79A7',
  '#FFFFFF',
];
const CYLINDERS = [0, 1, 2, 3, 4, 5, 6, 7];
const THEMES = ['light', 'dark'] as const;
const TOKENS = readFileSync(new URL('../../../client/styles/tokens.css', import.meta.url), 'utf8');

function token(theme: 'light' | 'dark', name: string): string {
  const part = theme === 'dark' ? TOKENS.slice(TOKENS.indexOf('[data-theme="dark"]')) : TOKENS;
  return new RegExp(`${name}: (#[0-9a-f]{6})`).exec(part)![1]!;
}

describe('looks of the cylinders', () => {
  test('eight cylinders have eight colours of the Okabe–Ito set and eight line styles', () => {
    const colours = CYLINDERS.map((cyl) => cylinderStyle(cyl).colour);
    const dashes = CYLINDERS.map((cyl) => cylinderStyle(cyl).dash.join(' '));
    expect(new Set(colours).size).toBe(8);
    expect(new Set(dashes).size).toBe(8);
    for (const theme of THEMES) {
      for (const cyl of CYLINDERS) expect(OKABE_ITO).toContain(lineColour(cyl, theme).toUpperCase());
    }
  });

  test.each(THEMES)(
    'the number on every plate has a contrast of 4.5 (WCAG 2.2, 1.4.3), %s theme',
    (theme) => {
      for (const cyl of CYLINDERS) {
        const { ground, text } = plateColours(cyl, theme);
        expect(contrast(ground, text)).toBeGreaterThanOrEqual(4.5);
      }
    },
  );

  test.each(THEMES)(
    'every line stands out from its ground by 3 or has an edge of ink (WCAG 2.2, 1.4.11), %s theme',
    (theme) => {
      const ground = token(theme, '--page');
      for (const cyl of CYLINDERS) {
        const edged = theme === 'light' && cylinderStyle(cyl).pale;
        if (!edged)
          expect(contrast(lineColour(cyl, theme), ground), `cylinder ${cyl + 1}`).toBeGreaterThanOrEqual(3);
      }
    },
  );

  test.each(THEMES)('text, edges and the band are seen on their grounds, %s theme', (theme) => {
    const at = (name: string) => token(theme, name);
    for (const ground of ['--page', '--surface']) {
      expect(contrast(at('--ink'), at(ground))).toBeGreaterThanOrEqual(12);
      expect(contrast(at('--ink-2'), at(ground))).toBeGreaterThanOrEqual(7);
    }
    expect(contrast(at('--ink-2'), at('--band'))).toBeGreaterThanOrEqual(4.5);
    expect(contrast(at('--on-strong'), at('--strong'))).toBeGreaterThanOrEqual(12);
    expect(contrast(at('--edge'), at('--page'))).toBeGreaterThanOrEqual(3);
    expect(contrast(at('--band-edge'), at('--page'))).toBeGreaterThanOrEqual(3);
  });
});
