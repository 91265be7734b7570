import { FUZZ_TARGETS } from '../fuzz/fuzz-targets.ts';
import { type AccuracyRow, accuracyRow } from './accuracy-row.ts';

/** Five million inputs that nobody meant, at scale 1. */
export async function fuzzRows(
  { seed, scale }: { readonly seed: number; readonly scale: number },
  onRows: (rows: AccuracyRow[]) => void,
): Promise<AccuracyRow[]> {
  const rows: AccuracyRow[] = [];
  for (const { name, inputs, run } of FUZZ_TARGETS) {
    const startedMs = performance.now();
    const report = await run(Math.ceil(inputs * scale), seed);
    const tookS = (performance.now() - startedMs) / 1000;
    const row = accuracyRow(
      `${name}: inputs that broke a promise`,
      'inputs',
      [{ label: report.failures[0] ?? `seed ${seed}`, value: report.failures.length }],
      {
        pooled: report.failures.length,
        bound: 'none',
        holds: report.failures.length === 0,
        reference: `${report.inputs} inputs in ${tookS.toFixed(0)} s, ${report.taken} of them taken as good`,
      },
    );
    rows.push(row);
    onRows([row]);
  }
  return rows;
}
