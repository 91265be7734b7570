import type { BoardCalibration } from '../../calibration/board-calibration.ts';
import {
  absoluteKpa,
  type ChannelScale,
  channelScale,
  measurableRangeKpa,
} from '../../calibration/counts-to-kpa.ts';
import {
  differenceUncertainty,
  type ReadingConditions,
  readingUncertainty,
} from '../../calibration/reading-uncertainty.ts';
import type { SensorType } from '../../calibration/sensor-type.ts';
import { findSensorType } from '../../calibration/sensor-types.ts';
import { rectangular } from '../../calibration/uncertainty.ts';
import type { IdentityLine } from '../../firmware-protocol/lines.ts';
import type { CalibrationUncertainty } from '../signal/calibration-uncertainty.ts';
import { STANDARD_ATMOSPHERE_KPA } from '../signal/engine-setup.ts';
import type { InstrumentOptions } from '../signal/instrument.ts';
import type { ChannelScales } from './measuring-parts.ts';

/** The simulated sensors of this board are exact: what they say is the truth of the exercise. */
export const EXACT_BOARD_ID = 'practice';
/** Where one figure has to stand for all pressures it is taken at a usual idle [kPa absolute]. */
export const USUAL_IDLE_KPA = 60;

/** What is known of a board beyond what it says itself. */
export interface BoardKnowledge {
  /** One per channel; null where it is not known. */
  readonly types: readonly (SensorType | null)[];
  /** In force for this very board, or null. */
  readonly calibration: { readonly id: string; readonly board: BoardCalibration } | null;
  /** Of the sensors now, or null where not known. */
  readonly temperatureCelsius: number | null;
}

/** What a capture keeps, to turn its counts into the same pressures again. */
export interface ScalesRecord {
  readonly boardId: string;
  readonly sensorTypes: readonly string[];
  readonly fullScaleCounts: number;
  /** Left out by versions that knew none: then the types are found by the board's own words. */
  readonly types?: readonly (SensorType | null)[];
  readonly calibrationId?: string | null;
  readonly calibration?: BoardCalibration | null;
  readonly temperatureCelsius?: number | null;
}

type Board = Pick<IdentityLine, 'boardId' | 'sensorTypes' | 'fullScaleCounts'>;

/**
 * @param known of this very board; what the board itself says where it is left out
 * @throws RangeError for the calibration of another board, or of another number of channels
 */
export function channelScalesFor(
  { boardId, sensorTypes, fullScaleCounts }: Board,
  known?: BoardKnowledge,
): ChannelScales {
  return channelScalesOf({
    boardId,
    sensorTypes,
    fullScaleCounts,
    ...(known === undefined
      ? {}
      : {
          types: known.types,
          calibrationId: known.calibration?.id ?? null,
          calibration: known.calibration?.board ?? null,
          temperatureCelsius: known.temperatureCelsius,
        }),
  });
}

export function channelScalesOf(record: ScalesRecord): ChannelScales {
  const types = record.types ?? record.sensorTypes.map((name) => findSensorType(name));
  const calibration = record.calibration ?? null;
  if (calibration !== null) expectOwn(record, calibration);
  const scales = types.map((type, channel) =>
    type === null ? null : channelScale(type, record.fullScaleCounts, calibration?.channels[channel]),
  );
  return {
    absoluteKpa(channel, counts, ambientKpa) {
      const scale = scales[channel];
      return scale && counts >= 0 ? absoluteKpa(scale, counts, ambientKpa) : Number.NaN;
    },
    record,
    instrumentOptions: (cylinders) => ({
      sensorRanges: scales.slice(0, cylinders).map((scale) => scale && rangeOf(scale)),
      ...uncertainties(record, types, cylinders),
    }),
    trouble: types.includes(null) ? 'board-unknown-sensor' : null,
  };
}

function uncertainties(
  record: ScalesRecord,
  types: readonly (SensorType | null)[],
  cylinders: number,
): InstrumentOptions {
  const calibration = record.calibration ?? null;
  if (calibration === null || types.includes(null))
    return fromDataSheets(types.slice(0, cylinders), record.boardId === EXACT_BOARD_ID);
  const by = calibrated(
    calibration,
    { types: types.filter((type) => type !== null), temperatureCelsius: record.temperatureCelsius ?? null },
    cylinders,
  );
  const used = types.slice(0, cylinders).map((_, cylinder) => cylinder);
  const usual = used.map(() => USUAL_IDLE_KPA);
  return {
    standardUncertaintyKpa: used.map((cylinder) => by.reading(cylinder, USUAL_IDLE_KPA)),
    differenceUncertaintyKpa: used.map((cylinder) => by.gap(cylinder, 'mean', usual)),
    calibration: by,
  };
}

function calibrated(
  board: BoardCalibration,
  conditions: ReadingConditions,
  cylinders: number,
): CalibrationUncertainty {
  const used = Math.min(cylinders, board.channels.length);
  return {
    reading: (cylinder, kpa) => readingUncertainty(board, cylinder, kpa, conditions),
    gap: (cylinder, reference, kpa) =>
      differenceUncertainty(board, cylinder, reference, kpa.slice(0, used), conditions),
    between: (cylinder, other, kpa) =>
      differenceUncertainty(board, cylinder, other, kpa.slice(0, used), conditions),
  };
}

function fromDataSheets(types: readonly (SensorType | null)[], exact: boolean): InstrumentOptions {
  // A band without further knowledge is taken as rectangular: GUM (JCGM 100), 4.3.7.
  const bands = types.map((type) => (type === null || exact ? 0 : rectangular(type.errorBandKpa)));
  return {
    standardUncertaintyKpa: bands,
    differenceUncertaintyKpa: bands.map((band) => band * Math.SQRT2),
  };
}

function rangeOf(scale: ChannelScale) {
  return measurableRangeKpa(scale, STANDARD_ATMOSPHERE_KPA);
}

function expectOwn(record: ScalesRecord, { boardId, channels }: BoardCalibration): void {
  if (boardId !== record.boardId || channels.length !== record.sensorTypes.length)
    throw new RangeError(
      `The calibration of board ${boardId} with ${channels.length} channels is not that of ${record.boardId}`,
    );
}
