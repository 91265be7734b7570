/**
 * The samples of one cylinder round an expected pulse, beside its usual pulse, as the sums that least squares needs.
 */
import { type PulseTemplate, TEMPLATE_BINS } from './pulse-template.ts';
import type { SampleHistory } from './sample-history.ts';

const MASK = TEMPLATE_BINS - 1;

/**
 * Weighted and centred sums of products over the window, for the usual pulse m at the sample's phase, its
 * derivative s by a later time of the pulse (-m'), and the pressure p. Both pressures count from the usual highest.
 */
export interface PulseSums {
  /** Sum of the weights. */
  n: number;
  meanM: number;
  meanS: number;
  meanP: number;
  mm: number;
  ms: number;
  ss: number;
  mp: number;
  sp: number;
  pp: number;
}

export class PulseWindow {
  readonly template: PulseTemplate;
  /** Samples that arrived in the window. */
  readonly points: number;
  readonly #values: Float64Array;
  readonly #times: Float64Array;
  readonly #arrived: Uint8Array;
  readonly #mask: number;
  readonly #from: number;
  readonly #to: number;
  readonly #originS: number;
  readonly #periodS: number;
  readonly #sums: PulseSums = {
    n: 0,
    meanM: 0,
    meanS: 0,
    meanP: 0,
    mm: 0,
    ms: 0,
    ss: 0,
    mp: 0,
    sp: 0,
    pp: 0,
  };

  /**
   * Half a cycle either side of the expected fall, as far as it is known.
   *
   * @param expectedS when the steepest fall should come [s]
   * @param periodS present cycle length [s]
   */
  constructor(
    history: SampleHistory,
    channel: number,
    template: PulseTemplate,
    expectedS: number,
    periodS: number,
  ) {
    this.template = template;
    const { values, times, arrived, mask } = history.column(channel);
    this.#values = values;
    this.#times = times;
    this.#arrived = arrived;
    this.#mask = mask;
    this.#from = Math.max(history.firstRow, history.rowAtOrBefore(channel, expectedS - 0.5 * periodS) + 1);
    this.#to = history.rowAtOrBefore(channel, expectedS + 0.5 * periodS);
    let points = 0;
    for (let row = this.#from; row <= this.#to; row++) points += arrived[row & mask]!;
    this.points = points;
    this.#originS = expectedS - history.delayOf(channel);
    this.#periodS = periodS;
  }

  /**
   * @param shift by how much the pulse is taken to be late [cycles]
   * @param speed present speed over the expected one
   * @param reach distance from the fall at which samples count half [cycles]
   * @param stride every how many samples are looked at
   * @returns the sums; the same object is filled again by the next call
   */
  sums(shift: number, speed: number, reach: number, stride = 1): PulseSums {
    const values = this.#values;
    const times = this.#times;
    const arrived = this.#arrived;
    const mask = this.#mask;
    const { mean, slope, highestKpa: level } = this.template;
    const scale = (speed * TEMPLATE_BINS) / this.#periodS;
    const originS = this.#originS + shift * this.#periodS;
    const narrowness = 1 / (reach * TEMPLATE_BINS);
    let n = 0;
    let sumM = 0;
    let sumS = 0;
    let sumP = 0;
    let mm = 0;
    let ms = 0;
    let ss = 0;
    let mp = 0;
    let sp = 0;
    let pp = 0;
    for (let row = this.#from; row <= this.#to; row += stride) {
      const at = row & mask;
      const position = (times[at]! - originS) * scale;
      const whole = Math.floor(position);
      const share = position - whole;
      const bin = whole & MASK;
      const next = (bin + 1) & MASK;
      const away = position * narrowness;
      const square = away * away;
      const weight = arrived[at]! / (1 + square * square);
      const m = mean[bin]! + share * (mean[next]! - mean[bin]!) - level;
      const s = -(slope[bin]! + share * (slope[next]! - slope[bin]!));
      const p = values[at]! - level;
      n += weight;
      sumM += weight * m;
      sumS += weight * s;
      sumP += weight * p;
      mm += weight * m * m;
      ms += weight * m * s;
      ss += weight * s * s;
      mp += weight * m * p;
      sp += weight * s * p;
      pp += weight * p * p;
    }
    const sums = this.#sums;
    sums.n = n;
    sums.meanM = sumM / n;
    sums.meanS = sumS / n;
    sums.meanP = sumP / n;
    sums.mm = mm - (sumM * sumM) / n;
    sums.ms = ms - (sumM * sumS) / n;
    sums.ss = ss - (sumS * sumS) / n;
    sums.mp = mp - (sumM * sumP) / n;
    sums.sp = sp - (sumS * sumP) / n;
    sums.pp = pp - (sumP * sumP) / n;
    return sums;
  }
}
