import type { SampleHistory } from './sample-history.ts';

const BINS_OF_PART = 6;
/** With fewer samples in a bin than this the bins are too coarse to tell. */
const SAMPLES_OF_BIN = 1;
/** Mean square between two parts, over twice the variance: about 1 where they have nothing in common, 0 where they repeat. */
const ALIKE = 0.3;

/**
 * Whether a stretch of pressure is the same pulse several times over, so that what was taken for one cycle is several.
 * One stretch is enough to tell: unlike a fold over many cycles it is not blurred by a speed that changes.
 *
 * @param parts 2 or more
 */
export function partsRepeat(
  history: SampleHistory,
  channel: number,
  fromS: number,
  toS: number,
  parts: number,
): boolean {
  const bins = BINS_OF_PART * parts;
  const widthS = (toS - fromS) / bins;
  if (!(widthS >= SAMPLES_OF_BIN * history.usualIntervalS)) return false;
  const means = Array.from({ length: bins }, (_, bin) =>
    history.meanBetween(channel, fromS + bin * widthS, fromS + (bin + 1) * widthS),
  );
  const mean = means.reduce((sum, value) => sum + value, 0) / bins;
  let variance = 0;
  let between = 0;
  for (const [bin, value] of means.entries()) {
    const other = means[(bin + BINS_OF_PART) % bins]!;
    variance += (value - mean) * (value - mean);
    between += (value - other) * (value - other);
  }
  return variance > 0 && between < 2 * ALIKE * variance;
}
