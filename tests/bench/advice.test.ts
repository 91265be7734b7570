import { expect, it } from 'vitest';
import { quickEngine } from '../server/signal/advice/quick-engine.ts';
import { rows } from './advice.ts';
import { turnsByTrial } from './turning-by-trial.ts';

it('a share of the thousand sets gives a row of moves and one of what is left, for twin and four', () => {
  const told: string[] = [];
  const table = rows({ seed: 3, scale: 0.001, onRows: (some) => told.push(...some.map(({ what }) => what)) });
  expect(table).toHaveLength(4);
  expect(told).toEqual(table.map(({ what }) => what));
  for (const row of table) {
    expect(row.cases).toBe(6);
    expect(row.reference).toMatch(/seeds \d+…\d+$/);
    expect(row.worst).toMatch(/seed 3\d{5}/);
    expect(Number.isFinite(row.pooled)).toBe(true);
  }
}, 120_000);

it('turning by trial gets there, but takes longer than it does with advice', () => {
  const set = { layout: 'four-inline', seed: 1, reference: 'mean', toleranceKpa: 0.5 } as const;
  const turns = turnsByTrial(quickEngine({ ...set, mismatchTurns: [0.4, -0.2, 0.1, -0.5] }), 3, 'mean', 0.5);
  expect(turns).toBeGreaterThan(8);
  expect(turnsByTrial(quickEngine({ ...set, mismatchTurns: [0, 0, 0, 0] }), 3, 'mean', 0.5)).toBe(0);
});
