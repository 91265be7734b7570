/**
 * The measurement, live: samples go in one row at a time, a reading can be asked for at any moment.
 *
 *   rows -> cycle tracker -> engine cycles -> gaps and levels -> reading
 *                                          -> missed pulses, roughness
 *
 * Pure: it knows no clock but the samples' own, so a recording played through it gives what was seen live.
 */
import { BalanceLevels } from './balance-levels.ts';
import { balanceVerdict } from './balance-verdict.ts';
import { type CalibrationUncertainty, fixedUncertainty } from './calibration-uncertainty.ts';
import { compareCylinders } from './compare-cylinders.ts';
import { CycleTracker } from './cycle-tracker.ts';
import { cycleDegrees, type EngineSetup, revolutionsPerCycle } from './engine-setup.ts';
import { expanded } from './expanded.ts';
import { IdleWindow } from './idle-window.ts';
import { LostRows } from './lost-rows.ts';
import { type EngineCycle, PairedCycles } from './paired-cycles.ts';
import type { PressureCycle } from './pressure-cycle.ts';
import type { CylinderReading, FoldedWaveform, Reading, SensorState } from './reading.ts';
import { type SensorRange, sensorState } from './sensor-watch.ts';
import { type HosePair, swappedHoses } from './swapped-hoses.ts';

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
export class Instrument {
  readonly #setup: EngineSetup;
  #terms: BalanceTerms;
  readonly #tracker: CycleTracker;
  readonly #pairs: PairedCycles;
  readonly #idle: IdleWindow;
  readonly #lostRows = new LostRows();
  readonly #ranges: readonly (SensorRange | null)[];
  readonly #calibration: CalibrationUncertainty;
  readonly #levels: BalanceLevels;
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
    this.#idle = new IdleWindow(setup.cylinders, revolutionsPerCycle(setup.strokes));
    this.#levels = new BalanceLevels(setup.cylinders);
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
    this.#levels.restart();
    this.#newest.fill(null);
    this.#newestTimeS = null;
    this.#newestCycleEndS = Number.NEGATIVE_INFINITY;
    this.#sensorsDueS = Number.NEGATIVE_INFINITY;
    this.#sensors = this.#sensors.map(() => 'no-pulse');
  }

  /** Other terms of comparison, from now on. A new reference starts the gaps afresh. */
  setTerms(terms: BalanceTerms): void {
    if (terms.reference !== this.#terms.reference) this.#levels.restartGaps();
    this.#terms = terms;
  }

  reading(): Reading {
    const running = this.#runs();
    const { cycles: engineCycles, newestRpm } = this.#idle;
    const cylinders = this.#newest.map((_, cylinder) => this.#cylinderReading(cylinder, running));
    return {
      timeS: this.#newestTimeS,
      engine: {
        running,
        speedRpm: running ? newestRpm : null,
        idleRpm: running ? this.#idle.meanRpm(this.#levels.cycles) : null,
        cycles: engineCycles,
      },
      cylinders,
      ...compareCylinders(cylinders, this.#levels, this.#terms, this.#calibration),
      swappedHoses: this.#swapped(),
      roughness: this.#idle.roughness(running),
    };
  }

  /** Mean vacuum pulse of each cylinder over the engine cycle; empty while nothing is followed. */
  folded(): FoldedWaveform[] {
    if (!this.#runs()) return [];
    const { barometricKpa } = this.#terms;
    return this.#newest.map((_, cylinder) => {
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
    this.#levels.push(engineCycle, this.#terms.reference, (cylinder) => this.#hasNoReading(cylinder));
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
        this.#levels.restartCylinder(cylinder);
      }
      return now;
    });
  }

  #cylinderReading(cylinder: number, running: boolean): CylinderReading {
    const sensor = this.#sensors[cylinder]!;
    const figures = this.#idle.cylinder(cylinder);
    if (!running || this.#hasNoReading(cylinder)) return emptyReading(sensor);
    const level = this.#levels.levels[cylinder]!;
    const gap = this.#levels.gaps[cylinder]!;
    const alone = this.#setup.cylinders === 1;
    const vacuum = level.level();
    const difference = gap.level();
    const isReference = this.#terms.reference === cylinder;
    const gapKnown = !alone && difference.count > 0;
    const gapExpandedKpa = !gapKnown
      ? null
      : isReference
        ? 0
        : expanded(
            difference.standardError,
            this.#calibration.gap(cylinder, this.#terms.reference, this.#levels.absoluteKpa()),
          );
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
        this.#calibration.reading(cylinder, this.#levels.absoluteKpa()[cylinder]!),
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

  #swapped(): readonly HosePair[] | null {
    const { intakeAnglesDeg } = this.#terms;
    if (intakeAnglesDeg === null) return null;
    const whole = cycleDegrees(this.#setup.strokes);
    return swappedHoses(
      this.#tracker.phases(),
      intakeAnglesDeg.map((angle) => (((angle % whole) + whole) % whole) / whole),
    );
  }
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
