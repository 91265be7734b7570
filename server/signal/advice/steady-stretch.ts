/**
 * A stretch of steady readings, watched more closely than the instrument does: a screw that was turned by a touch shows in
 * the newest cycles long before it would in a level that nobody is about to change. The cycles between two
 * readings are recovered from their means: what came new is the difference of the sums.
 */
import { bilinear, inverse, type Matrix } from '../../../calibration/solve-linear.ts';
import type { CycleSpread } from './cycle-spread.ts';
import type { Balance } from './gap-space.ts';
import { addMatrices, type Gaussian, logDensity, logMeanExp, outer, scaleMatrix } from './gaussian.ts';

interface Block {
  readonly timeS: number;
  readonly cycles: number;
  /** Mean of its cycles [kPa]. */
  readonly z: readonly number[];
  /** Engine speed then [r/min]. */
  readonly rpm: number | null;
}

/** Numbers of newest cycles that are held against those before. */
const WINDOWS = [4, 6, 9, 13, 20, 30];
const LEAST_BEFORE = 6;
/** Standard deviations that make a change when none is expected. */
const ANY_SIGMAS = 4.6;
/** More dimensions stray further by chance. */
const SQUARES_PER_DIMENSION = 2.5;
/** An expected change has come when it is so many times likelier than none. */
const EXPECTED_TIMES_LIKELIER = 100;

/** A throttle opened for all shrinks the gaps by about as many parts as it raises the speed. */
export const GAPS_PER_SPEED = 1.3;
/** The speed is compared from so many blocks before the newest cycles; it strays by so much [part] by itself. */
const SPEED_BLOCKS_BEFORE = 8;
const SPEED_NOISE = 0.015;

/** A change that has been asked for. */
export interface ExpectedChange {
  /** Since when [s]. */
  readonly fromS: number;
  /** What it may be, each as likely as the others. */
  readonly changes: readonly Gaussian[];
}

export class SteadyStretch {
  readonly #spread: CycleSpread;
  #blocks: Block[];
  #newest: Balance;
  /** Whether it began within what the instrument takes for one level. */
  #cut = false;

  /** @param spread outlives the stretches: the engine that scatters is the same */
  constructor(first: Balance, spread: CycleSpread) {
    const { timeS, cycles, z, speed } = first;
    this.#newest = first;
    this.#spread = spread;
    this.#blocks = [{ timeS, cycles, z, rpm: speed.rpm }];
    spread.break();
  }

  get startS(): number {
    return this.#blocks[0]!.timeS;
  }

  /** Whether a reading goes on from here: readings that come slowly can miss that it moved, but not that its cycles are fewer. */
  continuesWith(balance: Balance): boolean {
    return balance.cycles >= this.#newest.cycles;
  }

  push(balance: Balance): void {
    const before = this.#newest;
    const cycles = balance.cycles - before.cycles;
    const { rpm, steadyRpm } = balance.speed;
    this.#newest = { ...balance, speed: { rpm, steadyRpm: steadyRpm ?? before.speed.steadyRpm } };
    if (cycles === 0) {
      // The instrument's mean is full, and goes on without its oldest: single cycles cannot be recovered any more.
      if (balance.z.some((value, at) => value !== before.z[at])) this.#cut = false;
      return;
    }
    const z = balance.z.map((value, at) => (balance.cycles * value - before.cycles * before.z[at]!) / cycles);
    this.#blocks.push({ timeS: balance.timeS, cycles, z, rpm: balance.speed.rpm });
    this.#spread.push(z, cycles);
  }

  /**
   * Cuts off the newest cycles when they stand on another level.
   *
   * @param expected a change that is about to come, or null
   * @returns the stretch that they begin, or null
   */
  split(expected: ExpectedChange | null): SteadyStretch | null {
    const perCycle = this.#perCycle();
    let best: { readonly from: number; readonly excess: number } | null = null;
    for (const window of WINDOWS) {
      const from = this.#blocksOfNewest(window);
      if (from === null) break;
      const newer = meanOf(this.#blocks, from, this.#blocks.length);
      const older = meanOf(this.#blocks, 0, from);
      const change = newer.z.map((value, at) => value - older.z[at]!);
      const covariance = addMatrices(
        scaleMatrix(perCycle, 1 / newer.cycles + 1 / older.cycles),
        outer(older.z, (GAPS_PER_SPEED * this.#speedChange(from)) ** 2),
      );
      const asked = expected !== null && this.#blocks[from]!.timeS > expected.fromS;
      const excess = Math.max(strayed(change, covariance), asked ? arrived(change, covariance, expected) : 0);
      if (excess > 1 && (best === null || excess > best.excess)) best = { from, excess };
    }
    if (best === null) return null;
    const next = new SteadyStretch(this.#newest, this.#spread);
    next.#cut = true;
    next.#newest = { ...this.#newest, speed: { rpm: this.#newest.speed.rpm, steadyRpm: null } };
    next.#blocks = this.#blocks.splice(best.from);
    return next;
  }

  /** Whether the reading's own means reach back to before its beginning. */
  get isCut(): boolean {
    return this.#cut;
  }

  /** Where the set stands. */
  get balance(): Balance {
    return this.#cut ? this.#balanceOf(this.#blocks.length) : this.#newest;
  }

  /** Where it stood, without what was measured after a time, as far as that can be left out. */
  until(timeS: number): Balance {
    let to = this.#blocks.length;
    while (to > 1 && this.#blocks[to - 1]!.timeS > timeS) to--;
    return this.#balanceOf(to);
  }

  #balanceOf(to: number): Balance {
    const { z, cycles } = meanOf(this.#blocks, 0, to);
    const { speed } = this.#newest;
    const timeS = this.#blocks[to - 1]!.timeS;
    return { timeS, cycles, z, covariance: scaleMatrix(this.#perCycle(), 1 / cycles), speed };
  }

  /** Covariance of one cycle [kPa²]. */
  #perCycle(): Matrix {
    return this.#spread.covariance(scaleMatrix(this.#newest.covariance, this.#newest.cycles));
  }

  /** Part by which the speed differs from that before a block, or has varied since shortly before it. */
  #speedChange(from: number): number {
    const rpms = this.#blocks.map(({ rpm }) => rpm).filter((rpm) => rpm !== null);
    if (rpms.length < this.#blocks.length) return 0;
    const near = rpms.slice(Math.max(0, from - SPEED_BLOCKS_BEFORE));
    const range = Math.log(Math.max(...near) / Math.min(...near));
    const between = Math.abs(Math.log(average(rpms.slice(from)) / average(rpms.slice(0, from))));
    return Math.max(0, range - SPEED_NOISE, between - SPEED_NOISE);
  }

  /** Index of the first block of the newest cycles, or null when too little would be left before it. */
  #blocksOfNewest(cycles: number): number | null {
    let from = this.#blocks.length;
    for (let left = cycles; left > 0 && from > 0; ) left -= this.#blocks[--from]!.cycles;
    let before = 0;
    for (let at = 0; at < from && before < LEAST_BEFORE; at++) before += this.#blocks[at]!.cycles;
    return before < LEAST_BEFORE ? null : from;
  }
}

/** How far an unexpected change is beyond the limit: above 1 it counts. */
function strayed(change: readonly number[], covariance: Matrix): number {
  const inverted = inverse(covariance);
  const limit = ANY_SIGMAS ** 2 + SQUARES_PER_DIMENSION * (change.length - 1);
  return inverted === null ? 0 : bilinear(change, inverted, change) / limit;
}

/** The same for an expected one: the logarithm of its Bayes factor against none. */
function arrived(change: readonly number[], covariance: Matrix, { changes }: ExpectedChange): number {
  const none = logDensity(change, { mean: change.map(() => 0), covariance });
  const some = logMeanExp(
    changes.map((one) =>
      logDensity(change, { mean: one.mean, covariance: addMatrices(one.covariance, covariance) }),
    ),
  );
  return (some - none) / Math.log(EXPECTED_TIMES_LIKELIER);
}

function average(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

function meanOf(blocks: readonly Block[], from: number, to: number): { z: number[]; cycles: number } {
  const z = blocks[0]!.z.map(() => 0);
  let cycles = 0;
  for (let at = from; at < to; at++) {
    const block = blocks[at]!;
    cycles += block.cycles;
    for (let axis = 0; axis < z.length; axis++) z[axis]! += block.cycles * block.z[axis]!;
  }
  return { z: z.map((value) => value / cycles), cycles };
}
