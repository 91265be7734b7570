import { MAX_SAMPLE_RATE_HZ } from '../../firmware-protocol/line-limits.ts';
import { BOUGHT_SENSORS, EXACT_SENSOR, type PracticeSensors } from './bought-sensors.ts';
import { CycleLog, type TrueCycle } from './cycle-log.ts';
import { Engine } from './engine.ts';
import type { EngineControls } from './engine-controls.ts';
import { defaultControls } from './engine-controls.ts';
import { engineParameters } from './engine-parameters.ts';
import { DEFAULT_LAYOUT_ID, type EngineLayout, layoutById } from './layouts.ts';
import { PressureHistory } from './pressure-history.ts';
import {
  fromCounts,
  MPX4115A,
  PLAIN_TAP,
  PressureTap,
  type TapSettings,
  type TransferFunction,
  toCounts,
} from './pressure-tap.ts';
import { Random } from './random.ts';
import { ThrottleHand } from './throttle-hand.ts';
import { Vessel } from './vessel.ts';

export interface PracticeBenchOptions {
  /** Id of a layout, see `LAYOUTS`. */
  readonly layout?: string;
  readonly seed?: number;
  /** Samples per second and channel, 1…4000. */
  readonly sampleRateHz?: number;
  readonly ambientKpa?: number;
  /** From the conversion of one channel to that of the next within a sample [s]. */
  readonly conversionS?: number;
  /** One for all channels, or one per channel. */
  readonly taps?: Partial<TapSettings> | readonly Partial<TapSettings>[];
  readonly transfer?: TransferFunction;
  /** Full scale of the converter, or null for no quantisation at all. */
  readonly fullScaleCounts?: number | null;
  readonly controls?: Partial<EngineControls>;
  /** Length of the history from which true means can be asked [s]. */
  readonly historyS?: number;
  /** Time that the engine has run before time 0, so that it idles when practice starts [s]. */
  readonly warmUpS?: number;
}

/** One sample of all channels. `timeS` is that of channel 1; channel c is taken `c x conversionS` later. */
export interface PracticeFrame {
  readonly timeS: number;
  /** What the sensor says [kPa absolute]: hose, sensor error, noise and quantisation included. */
  readonly kpa: readonly number[];
  /** Raw counts; all 0 when the bench does not quantise. */
  readonly counts: readonly number[];
}

/**
 * The simulated engine with its hoses and sensors, on a time of its own: `advance` carries it on and answers the
 * samples taken meanwhile. The same options give the same samples.
 */
export class PracticeBench {
  readonly layout: EngineLayout;
  readonly engine: Engine;
  readonly taps: readonly PressureTap[];
  readonly transfer: TransferFunction;
  readonly fullScaleCounts: number | null;
  readonly conversionS: number;
  readonly vessel: Vessel;
  readonly #ambientPa: number;
  #sensors: PracticeSensors = 'exact';
  #sampleRateHz: number;
  readonly #log: CycleLog;
  readonly #port: PressureHistory;
  readonly #tap: PressureHistory;
  readonly #tapPa: Float64Array;
  readonly #tapIntegralPaS: Float64Array;
  #gridPoint = 0;
  /** Sample k since the rate was set falls due at `#rateSetS` + k / rate. */
  #rateSetS = 0;
  #nextSample = 0;
  #starterS = 0;
  #hosesSwapped: readonly [number, number] | null = null;
  /** Hoses that a hand has taken off to put them elsewhere, until then. */
  #inHand: readonly number[] = [];
  #inHandUntilS = 0;
  readonly #hand: ThrottleHand;

  constructor(options: PracticeBenchOptions = {}) {
    this.layout = layoutById(options.layout ?? DEFAULT_LAYOUT_ID);
    const n = this.layout.cylinders;
    const random = new Random(options.seed ?? 1);
    const ambientKpa = options.ambientKpa ?? 101.325;
    this.#ambientPa = ambientKpa * 1000;
    this.vessel = new Vessel(this.#ambientPa);
    this.#sampleRateHz = checkedRate(options.sampleRateHz ?? DEFAULT_SAMPLE_RATE_HZ);
    this.conversionS = options.conversionS ?? 0;
    this.transfer = options.transfer ?? MPX4115A;
    this.fullScaleCounts = options.fullScaleCounts === undefined ? 1023 : options.fullScaleCounts;
    const historyS = options.historyS ?? DEFAULT_HISTORY_S;
    this.#log = new CycleLog(n, Math.ceil(historyS * MOST_CYCLES_PER_S) * n);
    const capacity = Math.ceil(historyS / GRID_S) + 2;
    this.#port = new PressureHistory(n, GRID_S, capacity);
    this.#tap = new PressureHistory(n, GRID_S, capacity);

    const controls = { ...defaultControls(this.layout), ...structuredClone(options.controls ?? {}) };
    const log = this.#log;
    let startS = Number.POSITIVE_INFINITY;
    this.engine = new Engine(
      engineParameters(this.layout, ambientKpa),
      random.fork(0),
      {
        onIntakeOpens: (cyl, timeS, integral) => log.onIntakeOpens(cyl, timeS - startS, integral),
        onPulseMissed: (cyl) => log.onPulseMissed(cyl),
        onFiring: (cyl, _timeS, quality) => log.onFiring(cyl, quality),
      },
      controls,
    );
    this.#hand = new ThrottleHand(controls.throttle);
    const warmUpS = Math.round((options.warmUpS ?? DEFAULT_WARM_UP_S) / GRID_S) * GRID_S;
    startS = warmUpS;
    for (let at = 0; at < Math.round(warmUpS / GRID_S); at++) this.engine.advance(GRID_S);
    log.forgetBefore(0);

    const tapOptions = options.taps ?? {};
    this.taps = Array.from({ length: n }, (_, cyl) => {
      const own = Array.isArray(tapOptions) ? tapOptions[cyl] : (tapOptions as Partial<TapSettings>);
      return new PressureTap({ ...PLAIN_TAP, ...own }, this.engine.portPa[cyl]!, random.fork(1_000 + cyl));
    });
    this.#tapPa = Float64Array.from(this.engine.portPa);
    this.#tapIntegralPaS = new Float64Array(n);
    this.#port.push(this.engine.portPa, this.engine.portIntegralPaS);
    this.#tap.push(this.#tapPa, this.#tapIntegralPaS);
  }

  /** Whether the sensors read the truth, or are off as far as their data sheet allows. */
  get sensors(): PracticeSensors {
    return this.#sensors;
  }

  set sensors(sensors: PracticeSensors) {
    this.#sensors = sensors;
    for (const [cyl, tap] of this.taps.entries()) {
      const error = sensors === 'exact' ? EXACT_SENSOR : BOUGHT_SENSORS[cyl % BOUGHT_SENSORS.length]!;
      tap.settings = { ...tap.settings, ...error };
    }
  }

  /** 0-based cylinders whose hoses are on each other's port, or null. A tap's own faults stay with its hose. */
  get swappedHoses(): readonly [number, number] | null {
    return this.#hosesSwapped;
  }

  /** Hoses that go elsewhere are off for as long as a hand takes. */
  set swappedHoses(swapped: readonly [number, number] | null) {
    const moved = [...(this.#hosesSwapped ?? []), ...(swapped ?? [])];
    const stillInHand = this.timeS < this.#inHandUntilS ? this.#inHand : [];
    this.#inHand = [...stillInHand, ...moved];
    this.#inHandUntilS = this.timeS + HOSE_MOVE_S;
    this.#hosesSwapped = swapped;
  }

  get controls(): EngineControls {
    return this.engine.controls;
  }

  get cylinders(): number {
    return this.layout.cylinders;
  }

  get sampleRateHz(): number {
    return this.#sampleRateHz;
  }

  /** From the next grid point on samples are taken at this rate. @throws RangeError outside 1…4000 */
  setSampleRate(sampleRateHz: number): void {
    this.#sampleRateHz = checkedRate(sampleRateHz);
    this.#rateSetS = this.timeS + GRID_S;
    this.#nextSample = 0;
  }

  get ambientKpa(): number {
    return this.#ambientPa / 1000;
  }

  /** Time of the bench [s]; 0 when it was made. */
  get timeS(): number {
    return this.#gridPoint * GRID_S;
  }

  /** Completed engine cycles since time 0, newest last; the oldest are dropped when there are many. */
  get trueCycles(): readonly TrueCycle[] {
    return this.#log.cycles;
  }

  /** Mean absolute pressure from `t0` to `t1` [kPa]: in the port, or at the sensor's end of the hose, without noise. */
  truthMeanKpa(cyl: number, t0: number, t1: number, where: 'port' | 'tap' = 'port'): number {
    return (where === 'port' ? this.#port : this.#tap).meanKpa(cyl, t0, t1);
  }

  /** Absolute pressure without noise at a moment [kPa]. */
  truthAtKpa(cyl: number, timeS: number, where: 'port' | 'tap' = 'port'): number {
    return (where === 'port' ? this.#port : this.#tap).atKpa(cyl, timeS);
  }

  /** The hand on the throttle, 0 released … 1 fully open; a blip comes on top of it. */
  get throttle(): number {
    return this.#hand.held;
  }

  set throttle(opening: number) {
    this.#hand.held = opening;
  }

  /** Opens the throttle for a moment from now on. `peak` is 0…1. */
  blip(peak = BLIP_PEAK): void {
    this.#hand.blip(this.timeS, peak);
  }

  /** Starts the engine with its starter motor, or stops it with the ignition switch. */
  setRunning(running: boolean): void {
    this.controls.ignition = running;
    this.engine.starter = running && this.engine.speedRadS < RUNNING_RAD_S;
  }

  /** Turns the engine with its starter motor and the ignition off, or lets go of the button. */
  crank(cranking: boolean): void {
    if (cranking) this.controls.ignition = false;
    this.engine.starter = cranking;
  }

  /** Switches a cylinder's spark off or on. An engine that died of it is started again with the spark. */
  switchSpark(cylinder: number, on: boolean): void {
    this.controls.sparkOff[cylinder] = !on;
    if (on && !this.running) this.setRunning(true);
  }

  get running(): boolean {
    return this.controls.ignition && (this.engine.starter || this.engine.speedRadS > 0);
  }

  /** Carries the bench on to `toS` and answers the samples that fell due, oldest first. */
  advance(toS: number): PracticeFrame[] {
    const frames: PracticeFrame[] = [];
    const lastPoint = Math.floor(toS / GRID_S + 1e-9);
    const spreadS = this.conversionS * (this.cylinders - 1);
    while (this.#gridPoint < lastPoint) {
      this.#step();
      for (;;) {
        const sampleS = this.#rateSetS + this.#nextSample / this.#sampleRateHz;
        if (sampleS + spreadS > this.timeS) break;
        frames.push(this.#sample(sampleS));
        this.#nextSample++;
      }
    }
    return frames;
  }

  #step(): void {
    const { engine } = this;
    engine.controls.throttle = this.#hand.openingAt(this.timeS);
    this.#starterS = engine.starter ? this.#starterS + GRID_S : 0;
    if (this.#starterS > STARTER_PATIENCE_S) engine.starter = false;
    engine.advance(GRID_S);
    this.#gridPoint++;
    const vesselPa = this.vessel.step(this.#ambientPa, GRID_S);
    for (let cyl = 0; cyl < this.cylinders; cyl++) {
      const before = this.#tapPa[cyl]!;
      const tap = this.taps[cyl]!;
      tap.step(vesselPa ?? this.#portPa(cyl), this.#ambientPa, GRID_S);
      this.#tapPa[cyl] = tap.pressurePa;
      this.#tapIntegralPaS[cyl]! += 0.5 * (before + tap.pressurePa) * GRID_S;
    }
    this.#port.push(engine.portPa, engine.portIntegralPaS);
    this.#tap.push(this.#tapPa, this.#tapIntegralPaS);
  }

  /** Pressure of the port that the hose is on, or of the air while it is in a hand. */
  #portPa(hose: number): number {
    if (this.timeS <= this.#inHandUntilS && this.#inHand.includes(hose)) return this.#ambientPa;
    const [one, other] = this.#hosesSwapped ?? [];
    const port = hose === one ? other! : hose === other ? one! : hose;
    return this.engine.portPa[port]!;
  }

  #sample(timeS: number): PracticeFrame {
    const kpa: number[] = [];
    const counts: number[] = [];
    for (let cyl = 0; cyl < this.cylinders; cyl++) {
      const pressurePa = this.#tap.atKpa(cyl, timeS + cyl * this.conversionS) * 1000;
      const sensed = this.taps[cyl]!.sensorKpa(pressurePa);
      if (this.fullScaleCounts === null) {
        kpa.push(sensed);
        counts.push(0);
      } else {
        const count = toCounts(sensed, this.transfer, this.fullScaleCounts);
        counts.push(count);
        kpa.push(fromCounts(count, this.transfer, this.fullScaleCounts));
      }
    }
    return { timeS, kpa, counts };
  }
}

function checkedRate(sampleRateHz: number): number {
  if (!(sampleRateHz >= 1 && sampleRateHz <= MAX_SAMPLE_RATE_HZ)) {
    throw new RangeError(`A sample rate of ${sampleRateHz} per second is not within 1…${MAX_SAMPLE_RATE_HZ}`);
  }
  return sampleRateHz;
}

/** Grid of truth and taps [s]. */
export const GRID_S = 0.000_25;
const DEFAULT_SAMPLE_RATE_HZ = 500;
const DEFAULT_HISTORY_S = 30;
const DEFAULT_WARM_UP_S = 4;
/** 9000 r/min. */
const MOST_CYCLES_PER_S = 75;
const BLIP_PEAK = 0.4;
const RUNNING_RAD_S = 70;
/** Two hoses are pulled off and put back on within this time [s]; common practice, no source. */
export const HOSE_MOVE_S = 6;
/** Longer than this the starter motor is not turned in one go. */
const STARTER_PATIENCE_S = 5;
