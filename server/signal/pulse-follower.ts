/** One cylinder as the tracker follows it: its usual pulse, its place in the engine cycle, the cycle under way. */
import type { PressureCycle } from './pressure-cycle.ts';
import { fitPulse, measureDepth, type PulseDepth, type PulseFit } from './pulse-fit.ts';
import { PulseTemplate } from './pulse-template.ts';
import { PulseWindow } from './pulse-window.ts';
import type { SampleHistory } from './sample-history.ts';
import { sparseMean } from './sparse-mean.ts';

/** A pulse is measured when this part of a cycle behind its expected fall is known; no more of it can be folded. */
export const KNOWN_AHEAD = 0.3;
/** A cylinder steers the clock from this explained part on, and no longer below that one. */
export const STEER_ABOVE = 0.4;
export const STEER_BELOW = 0.2;
/** A cylinder without a pulse may steer again from this depth on [kPa]. */
const STEER_DEPTH_KPA = 0.3;
/** Memory of the explained part, per pulse that was believed; one that was not counts half. */
const EXPLAINED_MEMORY = 0.1;
const RESIDUAL_MEMORY = 0.1;
/** How fast the phase may follow the pulses, per pulse, once it is known, and by how much at once [cycles]. */
const LEAST_PHASE_RATE = 0.03;
const LARGEST_PHASE_STEP = 0.02;
/** A pulse shallower than this part of the usual is not folded into the usual. */
const FOLD_FROM_GAIN = 0.5;
/** Unless so many in a row are: then the engine has changed. */
const ACCEPT_AFTER = 6;
/** A cycle with a hole longer than this part of it has no mean. */
const LONGEST_HOLE = 0.05;
/** With one longer than this it is not fitted either. */
const LONGEST_HOLE_TO_FIT = 0.25;
/** A single lost sample is bridged, however few there are in a cycle. */
const BRIDGED_INTERVALS = 1.6;
/** With fewer samples per cycle than this, straight lines between them miss the pulse's corners. */
const SPARSE_SAMPLES = 9;
/** A cycle that differs by more than this part from the clock's, before or after, was cut by something else than pulses. */
const LARGEST_CHANGE = 0.2;

interface CycleStart {
  readonly timeS: number;
  readonly measured: boolean;
  readonly fit: PulseFit | null;
  readonly depth: PulseDepth | null;
}

export class PulseFollower {
  readonly cylinder: number;
  template: PulseTemplate;
  /** Phase of this cylinder's fall within the engine cycle [cycles]. */
  phase: number;
  /** Number of the engine cycle that the next pulse begins. */
  next = 0;
  /** Its pulse is clear enough to be timed. */
  steers: boolean;
  /** Running mean of what the usual pulse explains of each cycle, 0-1. */
  explained: number;
  pulses = 0;
  /** Scatter of single samples about the usual pulse [kPa]. */
  residualKpa = 0;
  readonly #history: SampleHistory;
  readonly #pulsesPerCycle: number;
  #shallow = 0;
  #start: CycleStart | null = null;

  /** Folds all samples from about `fromS` on, at the found period, into a first usual pulse. */
  constructor(
    history: SampleHistory,
    cylinder: number,
    pulsesPerCycle: number,
    fromS: number,
    periodS: number,
    explained: number,
  ) {
    this.#history = history;
    this.cylinder = cylinder;
    this.#pulsesPerCycle = pulsesPerCycle;
    const rough = foldFrom(history, cylinder, fromS, periodS);
    this.phase = rough.depthKpa > 0 ? rough.steepestFall() : 0;
    this.template = foldFrom(history, cylinder, fromS + this.phase * periodS, periodS);
    this.explained = explained;
    this.steers = explained >= STEER_ABOVE;
  }

  /** Phase of the next pulse on the crank clock [cycles]. */
  get nextPhase(): number {
    return this.next + this.phase;
  }

  /** Forgets the cycle under way, not what was learned. */
  restart(next: number): void {
    this.next = next;
    this.#start = null;
    this.#shallow = 0;
  }

  /** Measures the pulse expected at that time; null when its samples are missing. */
  fit(expectedS: number, periodS: number): PulseFit | null {
    const from = expectedS - 0.5 * periodS;
    const holeS = this.#history.longestHoleS(this.cylinder, from, from + periodS);
    if (holeS > LONGEST_HOLE_TO_FIT * periodS) return null;
    // What is missing may hide the pulse, and then one of another length elsewhere would explain the rest better.
    const whole = holeS <= BRIDGED_INTERVALS * this.#history.usualIntervalS;
    return fitPulse(this.#window(expectedS, periodS), this.residualKpa, whole ? this.#pulsesPerCycle : null);
  }

  /** @param errorS by how much the pulse was later than forecast */
  followPhase(errorS: number, periodS: number): void {
    const rate = Math.max(LEAST_PHASE_RATE, 1 / (this.pulses + 2));
    this.phase += rate * Math.max(-LARGEST_PHASE_STEP, Math.min(LARGEST_PHASE_STEP, errorS / periodS));
  }

  noteExplained(fit: PulseFit | null, believed: boolean): void {
    if (fit === null) return;
    this.explained += EXPLAINED_MEMORY * (believed ? 1 : 0.5) * (fit.explained - this.explained);
  }

  /** Whether a cylinder that did not steer may do so: a hose was put back, or a cylinder woke up. */
  get mayWake(): boolean {
    return !this.steers && this.explained > STEER_ABOVE && this.template.depthKpa > STEER_DEPTH_KPA;
  }

  /** Finds the fall anew and steers from now on. */
  wake(boundaryS: number, periodS: number): void {
    const fall = this.template.steepestFall();
    const moved = fall > 0.5 ? fall - 1 : fall;
    this.steers = true;
    this.phase += moved;
    this.pulses = 0;
    this.#start = null;
    this.template = foldFrom(this.#history, this.cylinder, boundaryS + moved * periodS, periodS);
  }

  /**
   * The cycle that ends with a pulse at `endS`; null when it is none that can be vouched for.
   *
   * @param clockPeriodsS cycle length by the clock before and after that pulse
   */
  cycleUntil(
    endS: number,
    endMeasured: boolean,
    endFit: PulseFit | null,
    clockPeriodsS: readonly number[],
  ): PressureCycle | null {
    const start = this.#start;
    // Without samples at either end the boundary is a guess, and so would be the cycle.
    if (start === null || start.fit === null || endFit === null || !(endS > start.timeS)) return null;
    const lengthS = endS - start.timeS;
    if (clockPeriodsS.some((periodS) => Math.abs(lengthS - periodS) > LARGEST_CHANGE * periodS)) return null;
    const { template } = this;
    const holeS = this.#history.longestHoleS(this.cylinder, start.timeS, endS);
    const whole = holeS <= Math.max(LONGEST_HOLE * lengthS, BRIDGED_INTERVALS * this.#history.usualIntervalS);
    const depth = whole && this.steers ? start.depth : null;
    const depthKpa = depth === null ? null : Math.max(0, depth.gain) * template.depthKpa;
    const highestKpa = depth?.offsetKpa ?? null;
    return {
      cylinder: this.cylinder,
      index: this.next - 1,
      startS: start.timeS,
      endS,
      meanKpa: whole ? this.#mean(start.timeS, endS) : null,
      lowestKpa: highestKpa === null || depthKpa === null ? null : highestKpa - depthKpa,
      highestKpa,
      depthKpa,
      measured: start.measured && endMeasured,
      troughS: start.timeS + template.lowestPhase * lengthS,
      strength: depth?.gain ?? null,
      samples: start.fit.points,
      explained: Math.min(start.fit.explained, endFit.explained),
    };
  }

  /** Folds the pulse at `boundaryS` into the usual one and begins the next cycle there. */
  begin(boundaryS: number, measured: boolean, fit: PulseFit | null, periodS: number): void {
    const depth = measureDepth(this.#window(boundaryS, periodS));
    if (fit !== null) this.#learn(fit, depth, boundaryS, periodS);
    this.#start = { timeS: boundaryS, measured, fit, depth };
    this.next++;
    this.pulses++;
  }

  #window(fallS: number, periodS: number): PulseWindow {
    return new PulseWindow(this.#history, this.cylinder, this.template, fallS, periodS);
  }

  #mean(startS: number, endS: number): number | null {
    const history = this.#history;
    const sparse = endS - startS < SPARSE_SAMPLES * history.usualIntervalS && this.steers;
    const mean = sparse
      ? sparseMean(history, this.cylinder, this.template, startS, endS)
      : history.meanBetween(this.cylinder, startS, endS);
    return Number.isFinite(mean) ? mean : null;
  }

  #learn(fit: PulseFit, depth: PulseDepth | null, boundaryS: number, periodS: number): void {
    const shallow = this.steers && (depth?.gain ?? 0) < FOLD_FROM_GAIN;
    this.#shallow = shallow ? this.#shallow + 1 : 0;
    if (shallow && this.#shallow < ACCEPT_AFTER) return;
    const history = this.#history;
    const { cylinder } = this;
    const endS = boundaryS + KNOWN_AHEAD * periodS;
    const from = Math.max(history.firstRow, history.rowAtOrBefore(cylinder, endS - periodS) + 1);
    const to = Math.min(history.finalRows - 1, history.rowAtOrBefore(cylinder, endS));
    fold(this.template, history, cylinder, from, to, boundaryS, periodS);
    this.template.endCycle(to - from + 1);
    this.residualKpa += (this.pulses === 0 ? 1 : RESIDUAL_MEMORY) * (fit.residualKpa - this.residualKpa);
  }
}

function foldFrom(history: SampleHistory, channel: number, originS: number, periodS: number): PulseTemplate {
  const template = new PulseTemplate();
  const from = Math.max(history.firstRow, history.rowAtOrBefore(channel, originS - periodS) + 1);
  fold(template, history, channel, from, history.finalRows - 1, originS, periodS);
  template.settle();
  return template;
}

function fold(
  template: PulseTemplate,
  history: SampleHistory,
  channel: number,
  fromRow: number,
  toRow: number,
  originS: number,
  periodS: number,
): void {
  const { values, times, arrived, mask } = history.column(channel);
  const origin = originS - history.delayOf(channel);
  for (let row = fromRow; row <= toRow; row++) {
    const value = values[row & mask]!;
    if (arrived[row & mask] === 1 && value - value === 0)
      template.add((times[row & mask]! - origin) / periodS, value);
  }
}
