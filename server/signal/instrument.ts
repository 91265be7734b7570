/**
 * The measurement, live: samples go in one row at a time, a reading can be asked for at any moment.
 *
 *   rows -> cycle tracker -> engine cycles -> gaps and levels -> reading
 *                                          -> missed pulses, roughness
 *
 * Pure: it knows no clock but the samples' own, so a recording played through it gives what was seen live.
 */
import { balanceVerdict, cyclesNeeded } from './balance-verdict.ts';
import { type CalibrationUncertainty, fixedUncertainty } from './calibration-uncertainty.ts';
import { CycleTracker } from './cycle-tracker.ts';
import { cycleDegrees, type EngineSetup } from './engine-setup.ts';
import { IdleWindow } from './idle-window.ts';
import { LevelTracker } from './level-tracker.ts';
import { LostRows } from './lost-rows.ts';
import { type EngineCycle, PairedCycles } from './paired-cycles.ts';
import type { PressureCycle } from './pressure-cycle.ts';
import type { CylinderReading, FoldedWaveform, Reading, SensorState, Settling, Verdict } from './reading.ts';
import { referenceOf } from './reference-vacuum.ts';
import { type SensorRange, sensorState } from './sensor-watch.ts';
import { seriesMean } from './series-mean.ts';
import { swappedHoses } from './swapped-hoses.ts';

export interface InstrumentOptions {
  /** Delay of each channel's conversion behind the row's time [s]. */
  readonly channelDelaysS?: readonly number[];
  /** Ends of each sensor's range, null where not known. */
  readonly sensorRanges?: readonly (SensorRange | null)[];
  /** Standard uncertainty of each cylinder's absolute reading from its calibration [kPa]. */
  readonly standardUncertaintyKpa?: readonly number[];
  /** Standard uncertainty of each cylinder's difference to the reference from the calibrations [kPa]. */
  readonly differenceUncertaintyKpa?: readonly number[];
  /** The same at the pressures of the moment, for sensors that were calibrated; goes before the two above. */
  readonly calibration?: CalibrationUncertainty | null;
}

/** What may change while the engine runs, without finding its cycle anew. */
export type BalanceTerms = Pick<
  EngineSetup,
  'barometricKpa' | 'reference' | 'toleranceKpa' | 'intakeAnglesDeg'
>;

/** Without a new cycle for so many cycle lengths, or so long, the engine counts as stopped. */
const STOPPED_AFTER_CYCLES = 3;
const STOPPED_AFTER_S = 1;
/** Sensors are looked at this often [s]. */
const SENSORS_EVERY_S = 0.25;
/** In these states a cylinder has no pressure of its own to show. */
const NO_READING: readonly SensorState[] = ['dead', 'open-to-air', 'saturated', 'blocked'];
/** A cycle with a pulse weaker than this is no evidence of a turned screw. */
const DOUBTFUL_STRENGTH = 0.65;
/** Standard errors by which a gap must follow its cylinder's changed level. */
const CONFIRMING_SIGMAS = 2;
const WORST_FIRST: readonly Settling[] = ['moving', 'settling', 'steady'];

export class Instrument {
  readonly #setup: EngineSetup;
  #terms: BalanceTerms;
  readonly #tracker: CycleTracker;
  readonly #pairs: PairedCycles;
  readonly #idle: IdleWindow;
  readonly #lostRows = new LostRows();
  readonly #ranges: readonly (SensorRange | null)[];
  readonly #calibration: CalibrationUncertainty;
  /** Negative absolute pressure of each cylinder: vacuum, but for the barometric pressure. */
  readonly #levels: LevelTracker[];
  readonly #gaps: LevelTracker[];
  readonly #newest: (PressureCycle | null)[];
  #sensors: SensorState[];
  #sensorsDueS = Number.NEGATIVE_INFINITY;
  #newestTimeS: number | null = null;
  #newestCycleEndS = Number.NEGATIVE_INFINITY;

  constructor(setup: EngineSetup, options: InstrumentOptions = {}) {
    const each = <T>(value: T): T[] => Array.from({ length: setup.cylinders }, () => value);
    this.#setup = setup;
    this.#terms = setup;
    this.#ranges = options.sensorRanges ?? each(null);
    this.#calibration =
      options.calibration ??
      fixedUncertainty(options.standardUncertaintyKpa ?? [], options.differenceUncertaintyKpa ?? []);
    this.#tracker = new CycleTracker(setup, options.channelDelaysS ?? each(0), (cycle) =>
      this.#takeCycle(cycle),
    );
    this.#pairs = new PairedCycles(setup.cylinders, (cycle) => this.#takeEngineCycle(cycle));
    this.#idle = new IdleWindow(setup.cylinders, cycleDegrees(setup.strokes) / 360);
    this.#levels = each(null).map(() => new LevelTracker(setup.cylinders));
    this.#gaps = each(null).map(() => new LevelTracker(setup.cylinders));
    this.#newest = each(null);
    this.#sensors = each<SensorState>('no-pulse');
  }

  /**
   * Takes one row of samples.
   *
   * @param timeS board time [s]; a row not later than the last is dropped
   * @param absoluteKpa one absolute pressure per cylinder [kPa], NaN where it is missing
   */
  push(timeS: number, absoluteKpa: ArrayLike<number>): void {
    const wasUsable = this.#lostRows.usable;
    if (!this.#lostRows.push(timeS, absoluteKpa)) {
      if (!wasUsable) return;
      this.#startAfresh();
      this.#sensors = this.#sensors.map(() => 'dead');
      return;
    }
    if (!this.#tracker.push(timeS, absoluteKpa)) return;
    this.#newestTimeS = timeS;
    if (timeS >= this.#sensorsDueS) this.#lookAtSensors(timeS);
  }

  /** The samples have a gap of unknown length: a board was reset or replugged. */
  breakInSamples(): void {
    this.#lostRows.forget();
    this.#startAfresh();
  }

  #startAfresh(): void {
    this.#tracker.breakInSamples();
    this.#pairs.flush();
    this.#idle.forget();
    for (const level of [...this.#levels, ...this.#gaps]) level.restart(0);
    this.#newest.fill(null);
    this.#newestTimeS = null;
    this.#newestCycleEndS = Number.NEGATIVE_INFINITY;
    this.#sensorsDueS = Number.NEGATIVE_INFINITY;
    this.#sensors = this.#sensors.map(() => 'no-pulse');
  }

  /** Other terms of comparison, from now on. A new reference starts the gaps afresh. */
  setTerms(terms: BalanceTerms): void {
    if (terms.reference !== this.#terms.reference) for (const gap of this.#gaps) gap.restart(0);
    this.#terms = terms;
  }

  reading(): Reading {
    const running = this.#runs();
    const cylinders = this.#levels.map((_, cylinder) => this.#cylinderReading(cylinder, running));
    const compared = cylinders.filter((one) => one.gapKpa !== null);
    const spread = running && compared.length > 1 ? this.#spread(cylinders) : null;
    return {
      timeS: this.#newestTimeS,
      engine: {
        running,
        speedRpm: running ? this.#idle.newestRpm : null,
        idleRpm: running ? this.#idle.meanRpm(this.#gaps[0]!.values.length) : null,
        cycles: this.#idle.cycles,
      },
      cylinders,
      spreadKpa: spread?.value ?? null,
      spreadExpandedKpa: spread?.expanded ?? null,
      settling: worstSettling(compared.length > 0 ? compared : cylinders),
      verdict: overallVerdict(compared),
      cyclesNeeded: this.#cyclesNeeded(cylinders),
      swappedHoses: this.#swapped(),
      roughness: this.#idle.roughness(running),
    };
  }

  /** Mean vacuum pulse of each cylinder over the engine cycle; empty while nothing is followed. */
  folded(): FoldedWaveform[] {
    if (!this.#runs()) return [];
    const { barometricKpa } = this.#terms;
    return this.#levels.map((_, cylinder) => {
      const template = this.#tracker.template(cylinder);
      if (template === null) return { meanKpa: [], sdKpa: [] };
      return {
        meanKpa: template.folded().map((kpa) => (kpa === null ? null : barometricKpa - kpa)),
        sdKpa: template.spread(),
      };
    });
  }

  /** Phase of each cylinder's intake after cylinder 1's [cycles, 0-1]; null where it cannot be told. */
  phases(): (number | null)[] {
    return this.#tracker.phases();
  }

  #runs(): boolean {
    const periodS = this.#tracker.periodS;
    if (periodS === null || this.#newestTimeS === null) return false;
    const quietS = this.#newestTimeS - this.#newestCycleEndS;
    return quietS < Math.max(STOPPED_AFTER_S, STOPPED_AFTER_CYCLES * periodS);
  }

  #takeCycle(cycle: PressureCycle): void {
    this.#newest[cycle.cylinder] = cycle;
    this.#newestCycleEndS = Math.max(this.#newestCycleEndS, cycle.endS);
    this.#pairs.push(cycle);
  }

  #takeEngineCycle(engineCycle: EngineCycle): void {
    this.#idle.push(engineCycle, (cylinder) => this.#tracker.steers(cylinder));
    const vacuums = engineCycle.cycles.map((cycle, cylinder) =>
      cycle === null || cycle.meanKpa === null || this.#hasNoReading(cylinder) ? null : -cycle.meanKpa,
    );
    const doubtful = engineCycle.cycles.some((cycle) => (cycle?.strength ?? 1) < DOUBTFUL_STRENGTH);
    const levelChanged = vacuums.map(
      (vacuum, cylinder) => vacuum !== null && this.#levels[cylinder]!.push(vacuum, doubtful),
    );
    // A mean over other cylinders than in the cycle before is another reference, and every gap would seem to jump.
    const lacking = vacuums.some((vacuum, cylinder) => vacuum === null && !this.#hasNoReading(cylinder));
    const reference =
      lacking && this.#terms.reference === 'mean' ? null : referenceOf(vacuums, this.#terms.reference);
    if (reference === null) return;
    let keep = Number.POSITIVE_INFINITY;
    vacuums.forEach((vacuum, cylinder) => {
      if (vacuum === null) return;
      const gap = this.#gaps[cylinder]!;
      const changed = gap.push(vacuum - reference, doubtful);
      if (changed || (levelChanged[cylinder] && this.#confirms(gap, this.#levels[cylinder]!))) {
        keep = Math.min(keep, changed ? gap.values.length : this.#levels[cylinder]!.values.length);
      }
    });
    // A screw moves every gap: all forget what was before.
    if (keep < Number.POSITIVE_INFINITY) for (const gap of this.#gaps) gap.changeTo(keep);
  }

  /** A cylinder's own level shows a turned screw more clearly than its gap does; the gap must only not deny it. */
  #confirms(gap: LevelTracker, level: LevelTracker): boolean {
    return gap.standsOff(level.values.length) * level.side > CONFIRMING_SIGMAS;
  }

  #hasNoReading(cylinder: number): boolean {
    return NO_READING.includes(this.#sensors[cylinder]!);
  }

  #lookAtSensors(timeS: number): void {
    this.#sensorsDueS = timeS + SENSORS_EVERY_S;
    const engineRuns = this.#runs();
    this.#sensors = this.#sensors.map((before, cylinder) => {
      const now = sensorState(this.#tracker.history, cylinder, {
        engineRuns,
        steers: this.#tracker.steers(cylinder),
        residualKpa: this.#tracker.residualKpa(cylinder),
        usualDepthKpa: this.#tracker.template(cylinder)?.depthKpa ?? null,
        barometricKpa: this.#terms.barometricKpa,
        range: this.#ranges[cylinder] ?? null,
      });
      if (now !== before && NO_READING.includes(now)) {
        this.#levels[cylinder]!.restart(0);
        for (const gap of this.#gaps) gap.restart(0);
      }
      return now;
    });
  }

  #cylinderReading(cylinder: number, running: boolean): CylinderReading {
    const sensor = this.#sensors[cylinder]!;
    const figures = this.#idle.cylinder(cylinder);
    if (!running || this.#hasNoReading(cylinder)) return emptyReading(sensor);
    const level = this.#levels[cylinder]!;
    const gap = this.#gaps[cylinder]!;
    const alone = this.#setup.cylinders === 1;
    const vacuum = level.level();
    const difference = gap.level();
    const isReference = this.#terms.reference === cylinder;
    const gapKnown = !alone && difference.count > 0;
    const gapExpandedKpa = !gapKnown
      ? null
      : isReference
        ? 0
        : expanded(difference.standardError, this.#gapUncertainty(cylinder));
    const gapKpa = gapKnown ? difference.mean : null;
    const newest = this.#newest[cylinder];
    const baro = this.#terms.barometricKpa;
    return {
      sensor,
      vacuumKpa: vacuum.count > 0 ? baro + vacuum.mean : null,
      vacuumSdKpa: vacuum.sd,
      vacuumStandardErrorKpa: vacuum.standardError,
      vacuumExpandedKpa: expanded(
        vacuum.standardError,
        this.#calibration.reading(cylinder, this.#absoluteKpa()[cylinder]!),
      ),
      gapKpa,
      gapExpandedKpa,
      verdict: balanceVerdict(gapKpa, gapExpandedKpa, this.#terms.toleranceKpa),
      settling: alone ? level.settling : gap.settling,
      lastCycleKpa: newest?.meanKpa === null || newest?.meanKpa === undefined ? null : baro - newest.meanKpa,
      peakVacuumKpa: figures.lowestKpa === null ? null : baro - figures.lowestKpa,
      pulseDepthKpa: figures.depthKpa,
      cycles: alone ? vacuum.count : difference.count,
      missedPulsesPerMinute: figures.missedPerMinute,
    };
  }

  #gapUncertainty(cylinder: number): number {
    return this.#calibration.gap(cylinder, this.#terms.reference, this.#absoluteKpa());
  }

  /** Mean absolute pressure of every cylinder; one without takes that of the others, for want of its own. */
  #absoluteKpa(): number[] {
    const own = this.#levels
      .map((level) => level.level())
      .map(({ count, mean }) => (count > 0 ? -mean : null));
    const known = own.filter((kpa) => kpa !== null);
    const usual = known.reduce((sum, kpa) => sum + kpa, 0) / Math.max(1, known.length);
    return own.map((kpa) => kpa ?? usual);
  }

  /** Largest minus smallest, from paired cycles of those two. */
  #spread(cylinders: readonly CylinderReading[]): {
    readonly value: number;
    readonly expanded: number | null;
  } {
    let high = -1;
    let low = -1;
    cylinders.forEach((one, cylinder) => {
      if (one.gapKpa === null) return;
      if (high < 0 || one.gapKpa > cylinders[high]!.gapKpa!) high = cylinder;
      if (low < 0 || one.gapKpa < cylinders[low]!.gapKpa!) low = cylinder;
    });
    const upper = this.#gaps[high]!.values;
    const lower = this.#gaps[low]!.values;
    const n = Math.min(upper.length, lower.length);
    const differences = Array.from(
      { length: n },
      (_, index) => upper[upper.length - n + index]! - lower[lower.length - n + index]!,
    );
    const mean = seriesMean(differences);
    const calibrationKpa = this.#calibration.between(high, low, this.#absoluteKpa());
    return {
      value: cylinders[high]!.gapKpa! - cylinders[low]!.gapKpa!,
      expanded: expanded(mean.standardError, calibrationKpa),
    };
  }

  #cyclesNeeded(cylinders: readonly CylinderReading[]): number | null {
    let most = 0;
    for (const [cylinder, one] of cylinders.entries()) {
      if (one.gapKpa === null || one.verdict !== 'not-sure') continue;
      const { standardError, count } = this.#gaps[cylinder]!.level();
      if (standardError === null) return null;
      const fixed = 2 * this.#gapUncertainty(cylinder);
      const needed = cyclesNeeded(one.gapKpa, this.#terms.toleranceKpa, count, 2 * standardError, fixed);
      if (needed === null) return null;
      most = Math.max(most, needed);
    }
    return most > 0 ? most : null;
  }

  #swapped(): readonly [number, number] | null {
    const { intakeAnglesDeg } = this.#terms;
    if (intakeAnglesDeg === null) return null;
    const whole = cycleDegrees(this.#setup.strokes);
    return swappedHoses(
      this.#tracker.phases(),
      intakeAnglesDeg.map((angle) => (((angle % whole) + whole) % whole) / whole),
    );
  }
}

function expanded(standardError: number | null, calibrationKpa: number): number | null {
  return standardError === null ? null : 2 * Math.hypot(standardError, calibrationKpa);
}

function emptyReading(sensor: SensorState): CylinderReading {
  return {
    sensor,
    vacuumKpa: null,
    vacuumSdKpa: null,
    vacuumStandardErrorKpa: null,
    vacuumExpandedKpa: null,
    gapKpa: null,
    gapExpandedKpa: null,
    verdict: 'not-sure',
    settling: 'settling',
    lastCycleKpa: null,
    peakVacuumKpa: null,
    pulseDepthKpa: null,
    cycles: 0,
    missedPulsesPerMinute: null,
  };
}

function worstSettling(cylinders: readonly CylinderReading[]): Settling {
  return WORST_FIRST.find((state) => cylinders.some((one) => one.settling === state)) ?? 'settling';
}

function overallVerdict(compared: readonly CylinderReading[]): Verdict {
  if (compared.length < 2) return 'not-sure';
  if (compared.some((one) => one.verdict === 'outside')) return 'outside';
  return compared.every((one) => one.verdict === 'inside') ? 'inside' : 'not-sure';
}
