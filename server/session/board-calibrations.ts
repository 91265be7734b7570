import type { AmbientLine, IdentityLine, SampleLine } from '../../firmware-protocol/lines.ts';
import type {
  AirPressure,
  CalibrationHistory,
  CalibrationSave,
  CalibrationState,
  Gauge,
  SensorsChange,
  SpanReading,
} from '../contract/calibration.ts';
import type { CalibrationStore } from '../jobs/calibration-store.ts';
import { fits, newestFitting, sensorsOf } from './board-knowledge.ts';
import type { CalibrationDesk } from './calibration-desk.ts';
import { calibrationHistory } from './calibration-history.ts';
import { calibrationSentence, type KnownCalibration, lastZero, UNFIT_CODE } from './calibration-standing.ts';
import { calibrationState, evidenceOf, NowPressures } from './calibration-view.ts';
import { channelScalesFor, EXACT_BOARD_ID } from './channel-scales.ts';
import { enteredSensors } from './entered-sensors.ts';
import { gaugeOnSource } from './gauge-on-source.ts';
import type { ChannelScales, Outcome, SampleObserver } from './measuring-parts.ts';
import { newCalibrationDesk } from './new-calibration-desk.ts';
import type { TakenSample } from './sample-intake.ts';
import { zeroAirPressure } from './zero-air-pressure.ts';

export interface BoardCalibrationsOptions {
  readonly store: CalibrationStore;
  readonly wallMs: () => number;
  readonly softwareVersion: string;
  readonly log: (text: string) => void;
  readonly practice: () => boolean;
  readonly live: () => boolean;
  readonly captureRunning: () => boolean;
  /** Air pressure of the set-up [kPa]. */
  readonly barometricKpa: () => number;
  /** The scales of the board are others now. */
  readonly renewed: () => void;
}

const MONTH_MS = (365.25 / 12) * 86_400_000;
/** A smaller change of temperature is not worth measuring afresh [K]. */
const TEMPERATURE_STEP_K = 5;

/** What is known of the sensors of the board in use, the desk at which it is calibrated, and what is kept of it. */
export class BoardCalibrations implements SampleObserver {
  readonly #options: BoardCalibrationsOptions;
  readonly #now = new NowPressures();
  #known: KnownCalibration | null = null;
  #desk: CalibrationDesk | null = null;
  #barometerKpa: number | null = null;
  #temperatureCelsius: number | null = null;
  #scalesCelsius: number | null = null;
  /** Air pressure that the gauge on the source counts its vacuum from, or null where it shows absolute pressure. */
  #gaugeCountsFromKpa: number | null = null;

  constructor(options: BoardCalibrationsOptions) {
    this.#options = options;
  }

  /** The scales of a board: its own newest calibration, never that of another. */
  scalesFor(identity: IdentityLine): ChannelScales {
    const { store, log } = this.#options;
    const before = this.#known;
    if (before?.identity.boardId !== identity.boardId) this.#temperatureCelsius = null;
    const sensors = sensorsOf(identity, store.sensors(identity.boardId));
    const types = sensors.map(({ type }) => type);
    const stored = newestFitting(store, identity.boardId, sensors, (id, reason) =>
      log(`calibration ${id} cannot be read: ${reason}`),
    );
    this.#known = { identity, sensors, stored };
    this.#scalesCelsius = this.#temperatureCelsius;
    if (before === null || differs(before, this.#known))
      this.#desk = newCalibrationDesk(this.#known, this.#options.practice(), this.#options.barometricKpa());
    return channelScalesFor(identity, {
      types,
      calibration: stored === null ? null : { id: stored.id, board: stored.board },
      temperatureCelsius: this.#temperatureCelsius,
    });
  }

  /** What the person should know of it, in one sentence; empty when all is well. */
  sentence(): string {
    return this.#known === null
      ? ''
      : calibrationSentence(this.#known, this.#options.store, this.#options.wallMs());
  }

  state(): CalibrationState {
    return calibrationState({
      known: this.#known,
      desk: this.#desk,
      nowKpa: this.#now.kpa,
      sentence: this.sentence(),
      practice: this.#options.practice(),
      live: this.#options.live(),
      barometerKpa: this.#barometerKpa,
      temperatureCelsius: this.#temperatureCelsius,
      wallMs: this.#options.wallMs(),
    });
  }

  /** @param boardId of the board in use where it is left out */
  history(boardId?: string): CalibrationHistory {
    const inUse = this.#known?.identity.boardId ?? null;
    const of = boardId ?? inUse;
    return calibrationHistory(
      this.#options.store,
      of,
      of === inUse ? (this.#known?.stored?.id ?? null) : null,
    );
  }

  startZero(air: AirPressure): Outcome<CalibrationState> {
    const pressure = zeroAirPressure(air, this.#barometerKpa);
    if (pressure === null) return { ok: false, code: 'board-has-no-barometer' };
    return this.#start((desk) => desk.startZero(pressure));
  }

  /** @param channels 1-based */
  startMatching(channels: readonly number[]): Outcome<CalibrationState> {
    return this.#start(
      (desk) => desk.startMatching(indices(channels), this.#options.barometricKpa()),
      channels,
    );
  }

  startSpan(channels: readonly number[], gauge: Gauge): Outcome<CalibrationState> {
    const zero = this.#known === null ? null : lastZero(this.#known, this.#options.wallMs());
    const placed = gaugeOnSource(gauge, zero);
    if (!placed.ok) return placed;
    this.#gaugeCountsFromKpa = gauge.shows === 'vacuum' ? zero!.kpa : null;
    return this.#start(
      (desk) => desk.startSpan(indices(channels), this.#options.barometricKpa(), placed.value),
      channels,
    );
  }

  takeReading({ shownKpa, readToKpa }: SpanReading): Outcome<CalibrationState> {
    const from = this.#gaugeCountsFromKpa;
    return this.#step((desk) => desk.takeReading(from === null ? shownKpa : from - shownKpa, readToKpa));
  }

  finish(): Outcome<CalibrationState> {
    return this.#step((desk) => desk.finish());
  }

  discard(): Outcome<CalibrationState> {
    this.#desk?.discard();
    return { ok: true, value: this.state() };
  }

  /** What was found counts from now on, for this board and no other. */
  save({ technician, remindAfterMonths }: CalibrationSave): Outcome<CalibrationState> {
    const desk = this.#desk;
    const finding = desk?.finding ?? null;
    if (desk === null || finding === null) return { ok: false, code: 'calibration-nothing-there' };
    if (this.#options.captureRunning()) return { ok: false, code: 'calibration-capture-running' };
    const atMs = this.#options.wallMs();
    const expiresAtMs = remindAfterMonths === null ? null : Math.round(atMs + remindAfterMonths * MONTH_MS);
    const by = technician?.trim() ? technician.trim() : null;
    const stamp = { atMs, technician: by, temperatureCelsius: this.#temperatureCelsius, expiresAtMs };
    const kept = this.#append({
      kind: finding.kind,
      madeAtMs: atMs,
      technician: by,
      expiresAtMs,
      board: desk.proposed(stamp)!,
      evidence: evidenceOf(desk, finding, this.#known!.stored?.id ?? null),
      samples: desk.samples(),
    });
    if (!kept) return { ok: false, code: 'calibration-not-saved' };
    desk.discard();
    this.#options.renewed();
    return { ok: true, value: this.state() };
  }

  /** An earlier calibration of this board counts again. That of another board is refused. */
  use(id: string): Outcome<CalibrationState> {
    const known = this.#known;
    if (known === null || !this.#options.live()) return { ok: false, code: 'calibration-needs-board' };
    const stored = this.#options.store.get(id);
    if (stored === null) return { ok: false, code: 'record-not-found' };
    const fit = fits(stored, known.identity.boardId, known.sensors);
    if (!fit.ok) return { ok: false, code: UNFIT_CODE[fit.reason] };
    if (this.#options.captureRunning()) return { ok: false, code: 'calibration-capture-running' };
    const { kind, technician, expiresAtMs, board } = stored;
    const kept = this.#append({
      kind,
      madeAtMs: this.#options.wallMs(),
      technician,
      expiresAtMs,
      board,
      evidence: { again: id },
      samples: { timeTicks: [], counts: [] },
    });
    if (!kept) return { ok: false, code: 'calibration-not-saved' };
    this.#options.renewed();
    return { ok: true, value: this.state() };
  }

  setSensors({ boardId, sensors }: SensorsChange): Outcome<CalibrationState> {
    const known = this.#known;
    if (known === null || known.identity.boardId !== boardId)
      return { ok: false, code: 'calibration-needs-board' };
    if (this.#options.captureRunning()) return { ok: false, code: 'calibration-capture-running' };
    const entered = enteredSensors(sensors, known.identity.sensorTypes.length);
    if (!entered.ok) return entered;
    try {
      this.#options.store.setSensors(boardId, entered.value, this.#options.wallMs());
    } catch (error) {
      return this.#unsaved(error);
    }
    this.#options.renewed();
    return { ok: true, value: this.state() };
  }

  onBoard(_identity: IdentityLine): void {
    this.#barometerKpa = null;
    this.#now.forget();
  }

  onSample(line: SampleLine, taken: TakenSample, absoluteKpa: ArrayLike<number>): void {
    this.#now.take(absoluteKpa);
    this.#desk?.take(taken.timeTicks, line.counts);
  }

  onAmbient({ pressurePa, temperatureCelsius }: AmbientLine): void {
    if (pressurePa !== null) this.#barometerKpa = pressurePa / 1000;
    if (temperatureCelsius === null) return;
    this.#temperatureCelsius = temperatureCelsius;
    const from = this.#scalesCelsius;
    const changed = from === null || Math.abs(temperatureCelsius - from) >= TEMPERATURE_STEP_K;
    if (changed && this.#known?.stored && !this.#options.captureRunning()) this.#options.renewed();
  }

  onBreak(): void {
    this.#desk?.break();
    this.#now.forget();
  }

  onLinkState(): void {}

  #start(
    begin: (desk: CalibrationDesk) => void,
    channels: readonly number[] = [],
  ): Outcome<CalibrationState> {
    const known = this.#known;
    if (known === null || !this.#options.live()) return { ok: false, code: 'calibration-needs-board' };
    if (known.identity.boardId === EXACT_BOARD_ID) return { ok: false, code: 'calibration-practice-exact' };
    const desk = this.#desk;
    if (desk === null) return { ok: false, code: 'calibration-needs-sensor-types' };
    if (channels.some((channel) => channel > known.sensors.length))
      return { ok: false, code: 'bad-request', detail: `channels: the board has ${known.sensors.length}` };
    if (desk.phase === 'recording') return { ok: false, code: 'calibration-running' };
    begin(desk);
    return { ok: true, value: this.state() };
  }

  #step(take: (desk: CalibrationDesk) => boolean): Outcome<CalibrationState> {
    const desk = this.#desk;
    if (desk === null || !take(desk)) return { ok: false, code: 'calibration-nothing-there' };
    return { ok: true, value: this.state() };
  }

  #append(
    calibration: Omit<Parameters<CalibrationStore['append']>[0], 'practice' | 'softwareVersion'>,
  ): boolean {
    const { store, softwareVersion, practice } = this.#options;
    try {
      store.append({ ...calibration, practice: practice(), softwareVersion });
      return true;
    } catch (error) {
      this.#unsaved(error);
      return false;
    }
  }

  #unsaved(error: unknown): Outcome<never> {
    this.#options.log(`calibration not saved: ${error instanceof Error ? error.message : String(error)}`);
    return { ok: false, code: 'calibration-not-saved' };
  }
}

function indices(channels: readonly number[]): number[] {
  return channels.map((channel) => channel - 1).sort((a, b) => a - b);
}

/** Whether what the desk works with has changed. */
function differs(before: KnownCalibration, after: KnownCalibration): boolean {
  return (
    before.identity !== after.identity ||
    before.stored?.id !== after.stored?.id ||
    JSON.stringify(before.sensors) !== JSON.stringify(after.sensors)
  );
}
