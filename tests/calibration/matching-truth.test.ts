import { describe, expect, it } from 'vitest';
import { calibrationRows } from '../bench/calibration.ts';

const SEED = 1;
const CASES = 1000;

describe(`matching against known truth, ${CASES} cases from seed ${SEED} on`, () => {
  const rows = calibrationRows({ seed: SEED, cases: CASES });
  it.each(rows.map((row) => [row.what, row.figure.toPrecision(4), row.unit, row.bound, row.holds] as const))(
    '%s: %s %s, asked for %s',
    (_what, _figure, _unit, _bound, holds) => {
      expect(holds).toBe(true);
    },
  );
});
