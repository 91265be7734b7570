import { describe, expect, test } from 'vitest';
import { FUZZ_TARGETS } from './fuzz-targets.ts';

/** `IDLEWRIGHT_FUZZ_SHARE=1` runs all five million; so does `npm run bench -- --only fuzz`. */
const SHARE = process.env.IDLEWRIGHT_FUZZ_SHARE;
const SEED = 20_251;

describe(`inputs that nobody meant (seed ${SEED})`, () => {
  test.each(FUZZ_TARGETS)('$name break nothing', async ({ run, inputs, quickInputs }) => {
    const count = SHARE === undefined ? quickInputs : Math.ceil(inputs * Number(SHARE));
    const report = await run(count, SEED);
    expect(report.failures).toEqual([]);
    expect(report.inputs).toBeGreaterThanOrEqual(count);
    // A fuzzer whose inputs are all refused at the door tests the door alone.
    expect(report.taken).toBeGreaterThan(count / 100);
  });
});
