import type { Plateau } from './plateaus.ts';
import type { PressureRecord } from './pressure-record.ts';
import { correlationFactor, quantisationVariance } from './steady-mean.ts';
import { summarise } from './summary-statistics.ts';

/** What every channel read on every step. */
export interface StepMeans {
  readonly steps: readonly { readonly fromS: number; readonly toS: number }[];
  /** `[channel][step]` [kPa]. */
  readonly meanKpa: readonly (readonly number[])[];
  /** Standard uncertainty of each mean from the channel's own noise and its steps [kPa]. */
  readonly uncertaintyKpa: readonly (readonly number[])[];
}

/** Left out at the start of a step, while the hoses fill [s]. */
export const SETTLING_S = 0.5;
/** Even a noiseless digital sensor is not surer than this [kPa]. */
const LEAST_UNCERTAINTY_KPA = 1e-4;
const FEWEST_ROWS = 8;

/**
 * Only rows in which every channel has a sample count, so that a movement of the source is the same for all and
 * cancels. A channel's own noise is told from the source's by what it departs from the mean of the channels
 * (Grubbs' estimator, Journal of the American Statistical Association 43 (1948) 243).
 */
export function stepMeans(record: PressureRecord, plateaus: readonly Plateau[]): StepMeans {
  const channels = record.absoluteKpa.length;
  const steps: { fromS: number; toS: number }[] = [];
  const meanKpa: number[][] = record.absoluteKpa.map(() => []);
  const uncertaintyKpa: number[][] = record.absoluteKpa.map(() => []);
  for (const plateau of plateaus) {
    const columns = completeRows(record, plateau);
    const rows = columns[0]!.length;
    if (rows < FEWEST_ROWS) continue;
    steps.push({ fromS: plateau.fromS, toS: plateau.toS });
    const common = columns[0]!.map(
      (_, row) => columns.reduce((sum, column) => sum + column[row]!, 0) / channels,
    );
    const departures = columns.map((column) => summarise(column.map((value, row) => value - common[row]!)));
    const variances = ownVariances(departures.map(({ sd }) => (sd ?? 0) ** 2));
    columns.forEach((column, channel) => {
      const { mean, sd } = summarise(column);
      const noise = (variances[channel]! / rows) * correlationFactor(departures[channel]!.lag1);
      const rounding = quantisationVariance(sd ?? 0, record.resolutionKpa[channel]!);
      meanKpa[channel]!.push(mean);
      uncertaintyKpa[channel]!.push(Math.max(LEAST_UNCERTAINTY_KPA, Math.sqrt(noise + rounding)));
    });
  }
  return { steps, meanKpa, uncertaintyKpa };
}

function completeRows({ timeS, absoluteKpa }: PressureRecord, plateau: Plateau): number[][] {
  const columns: number[][] = absoluteKpa.map(() => []);
  for (let row = plateau.from; row < plateau.to; row++) {
    if (timeS[row]! - plateau.fromS < SETTLING_S) continue;
    if (!absoluteKpa.every((column) => Number.isFinite(column[row]!))) continue;
    absoluteKpa.forEach((column, channel) => {
      columns[channel]!.push(column[row]!);
    });
  }
  return columns;
}

/**
 * Own variances v from those of the departures from the mean of J channels, d = v (1 - 2/J) + Σv/J².
 * Two channels cannot be told apart and share theirs.
 */
function ownVariances(departures: readonly number[]): number[] {
  const channels = departures.length;
  const all = (departures.reduce((sum, d) => sum + d, 0) * channels) / (channels - 1);
  if (channels === 2) return [all / 2, all / 2];
  return departures.map((d) => Math.max(d / SHARE_AT_LEAST, (d - all / channels ** 2) / (1 - 2 / channels)));
}

/** The estimator can go below 0 for the quietest channel; a departure is never all the others' noise. */
const SHARE_AT_LEAST = 4;
