/** The state of the calibration as the screen gets it. */
import { type BoardCalibration, uncalibratedBoard } from '../../calibration/board-calibration.ts';
import { CALIBRATION_REFUSALS } from '../../calibration/calibration-refusals.ts';
import { LEAST_MATCHING_SPAN_KPA, LEAST_STEPS } from '../../calibration/matching.ts';
import { differenceUncertainty, readingUncertainty } from '../../calibration/reading-uncertainty.ts';
import type { SensorType } from '../../calibration/sensor-type.ts';
import { SENSOR_TYPES } from '../../calibration/sensor-types.ts';
import { COVERAGE_FACTOR } from '../../calibration/uncertainty.ts';
import type {
  CalibratedBoard,
  CalibrationDeskState,
  CalibrationProposal,
  CalibrationState,
} from '../contract/calibration.ts';
import { STANDARD_ATMOSPHERE_KPA } from '../signal/engine-setup.ts';
import type { CalibrationDesk, Finding } from './calibration-desk.ts';
import { daysOrNull, type KnownCalibration, validityOf } from './calibration-standing.ts';
import { EXACT_BOARD_ID, USUAL_IDLE_KPA } from './channel-scales.ts';
import { choiceOf } from './entered-sensors.ts';

export interface CalibrationFacts {
  readonly known: KnownCalibration | null;
  readonly desk: CalibrationDesk | null;
  readonly nowKpa: readonly (number | null)[];
  readonly sentence: string;
  readonly practice: boolean;
  readonly live: boolean;
  readonly barometerKpa: number | null;
  readonly temperatureCelsius: number | null;
  readonly wallMs: number;
}

export function calibrationState(facts: CalibrationFacts): CalibrationState {
  const { known, desk, sentence, live } = facts;
  return {
    board: known === null || !live ? null : boardView(known, facts),
    sentence: live ? sentence : '',
    desk: desk === null || !live ? NO_DESK : deskView(desk, facts),
    sensorTypes: SENSOR_TYPES.map(({ name }) => name),
    leastSteps: LEAST_STEPS,
    leastReachKpa: LEAST_MATCHING_SPAN_KPA,
  };
}

/** What is kept of how a calibration was found, beside its raw counts. */
export function evidenceOf(desk: CalibrationDesk, finding: Finding, beforeId: string | null): unknown {
  const { fullScaleCounts, clockRateHz } = desk.board;
  const common = { beforeId, channels: desk.channels, fullScaleCounts, clockRateHz };
  if (finding.kind === 'zero') {
    const { barometric, shiftKpa, shiftUncertaintyKpa } = finding.result;
    return { ...common, air: barometric, shiftKpa, shiftUncertaintyKpa };
  }
  if (finding.kind === 'matching') {
    const { steps, residualSdKpa, curvatureSdKpa, degreesOfFreedom } = finding.result;
    return { ...common, steps, residualSdKpa, curvatureSdKpa, degreesOfFreedom };
  }
  const { gain, offsetKpa, residualKpa } = finding.result;
  const { points, source } = finding;
  return { ...common, gauge: source.gauge, zero: source.zero, points, gain, offsetKpa, residualKpa };
}

/** Pressures of the moment, smoothed over some tenths of a second, for the person to see that a hose is open. */
export class NowPressures {
  #kpa: number[] = [];

  get kpa(): readonly (number | null)[] {
    return this.#kpa.map((kpa) => (Number.isFinite(kpa) ? kpa : null));
  }

  take(absoluteKpa: ArrayLike<number>): void {
    for (let channel = 0; channel < absoluteKpa.length; channel++) {
      const before = this.#kpa[channel];
      const now = absoluteKpa[channel]!;
      this.#kpa[channel] =
        before === undefined || !Number.isFinite(before) || !Number.isFinite(now)
          ? now
          : before + SMOOTHING * (now - before);
    }
    this.#kpa.length = absoluteKpa.length;
  }

  forget(): void {
    this.#kpa = [];
  }
}

/** At 500 samples per second: a fifth of a second. */
const SMOOTHING = 0.01;

const NO_DESK: CalibrationDeskState = {
  phase: 'idle',
  task: null,
  channels: [],
  recordedS: 0,
  nowKpa: [],
  steps: [],
  reachKpa: 0,
  readings: [],
  refusal: null,
  proposal: null,
};

function boardView(known: KnownCalibration, facts: CalibrationFacts): CalibratedBoard {
  const { identity, sensors, stored } = known;
  const types = sensors.map(({ type }) => type).filter((type) => type !== null);
  const complete = types.length === sensors.length;
  // Only the range of gauge sensors looks at the air pressure: any will do.
  const air = STANDARD_ATMOSPHERE_KPA;
  const board = !complete ? null : (stored?.board ?? uncalibratedBoard(identity.boardId, types, air));
  const sure = board === null ? null : uncertaintiesOf(board, types, facts.temperatureCelsius);
  const exact = identity.boardId === EXACT_BOARD_ID;
  const validity =
    stored === null ? ({ state: 'never-calibrated' } as const) : validityOf(stored, facts.wallMs);
  return {
    boardId: identity.boardId,
    practice: facts.practice,
    exact,
    channels: sensors.map(({ type, serial, entered }, channel) => ({
      channel: channel + 1,
      sensorType: type?.name ?? null,
      boardSays: identity.sensorTypes[channel]!,
      enteredByHand: entered,
      choice: choiceOf(type, entered),
      serial,
      gain: board?.channels[channel]?.gain ?? 1,
      offsetKpa: board?.channels[channel]?.offsetKpa ?? 0,
      residualSdKpa: board?.channels[channel]?.residualSdKpa ?? null,
      readingExpandedKpa: exact ? 0 : (sure?.reading[channel] ?? null),
      differenceExpandedKpa: exact ? 0 : (sure?.difference[channel] ?? null),
    })),
    calibrationId: stored?.id ?? null,
    kinds: [...new Set(stored?.board.channels.flatMap(({ kinds }) => kinds))],
    madeAtMs: stored?.madeAtMs ?? null,
    technician: stored?.technician ?? null,
    expiresAtMs: stored?.expiresAtMs ?? null,
    validity: { state: validity.state, days: daysOrNull(validity) },
    barometerKpa: facts.barometerKpa,
    temperatureCelsius: facts.temperatureCelsius,
  };
}

function deskView(
  desk: CalibrationDesk,
  { nowKpa, temperatureCelsius, wallMs }: CalibrationFacts,
): CalibrationDeskState {
  const steps = desk.steps();
  const levels = steps.map(({ meanKpa }) => meanKpa);
  const { refusal } = desk;
  return {
    phase: desk.phase,
    task: desk.kind,
    channels: desk.channels.map((channel) => channel + 1),
    recordedS: desk.recordedS,
    nowKpa: [...nowKpa],
    steps: [...steps],
    reachKpa: levels.length === 0 ? 0 : Math.max(...levels) - Math.min(...levels),
    readings: desk.points.map(({ referenceKpa, readingKpa }) => ({ referenceKpa, readingKpa })),
    refusal:
      refusal === null
        ? null
        : {
            code: refusal.code,
            ...CALIBRATION_REFUSALS[refusal.code],
            detail: refusal.detail,
            channel: refusal.channel === null ? null : refusal.channel + 1,
          },
    proposal: proposalView(desk, temperatureCelsius, wallMs),
  };
}

function proposalView(
  desk: CalibrationDesk,
  temperatureCelsius: number | null,
  atMs: number,
): CalibrationProposal | null {
  const { finding, board } = desk;
  const stamp = { atMs, technician: null, temperatureCelsius, expiresAtMs: null };
  const after = desk.proposed(stamp);
  if (finding === null || after === null) return null;
  const was = uncertaintiesOf(board.before, board.types, temperatureCelsius);
  const is = uncertaintiesOf(after, board.types, temperatureCelsius);
  return {
    gain: after.channels.map(({ gain }) => gain),
    offsetKpa: after.channels.map(({ offsetKpa }) => offsetKpa),
    differenceBeforeKpa: was.difference,
    differenceAfterKpa: is.difference,
    readingBeforeKpa: was.reading,
    readingAfterKpa: is.reading,
    residuals: residualsOf(desk, finding),
  };
}

function residualsOf(desk: CalibrationDesk, finding: Finding): CalibrationProposal['residuals'] {
  const onBoard = (values: readonly number[]) =>
    desk.board.types.map((_, channel) => values[desk.channels.indexOf(channel)] ?? null);
  if (finding.kind === 'zero') return [];
  if (finding.kind === 'matching')
    return finding.result.steps.map(({ commonKpa, residualKpa }) => ({
      atKpa: commonKpa,
      residualKpa: onBoard(residualKpa),
    }));
  return finding.points.map(({ referenceKpa }, point) => ({
    atKpa: referenceKpa,
    residualKpa: [finding.result.residualKpa[point]!],
  }));
}

/** Expanded, at a usual idle: of each channel, and of its difference to the mean of all [kPa]. */
function uncertaintiesOf(
  board: BoardCalibration,
  types: readonly SensorType[],
  temperatureCelsius: number | null,
): { readonly reading: number[]; readonly difference: number[] } {
  const conditions = { types, temperatureCelsius };
  const usual = types.map(() => USUAL_IDLE_KPA);
  return {
    reading: types.map(
      (_, channel) => COVERAGE_FACTOR * readingUncertainty(board, channel, USUAL_IDLE_KPA, conditions),
    ),
    difference: types.map(
      (_, channel) => COVERAGE_FACTOR * differenceUncertainty(board, channel, 'mean', usual, conditions),
    ),
  };
}
