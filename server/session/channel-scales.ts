import {
  absoluteKpa,
  type Correction,
  channelScale,
  measurableRangeKpa,
} from '../../calibration/counts-to-kpa.ts';
import { findSensorType } from '../../calibration/sensor-types.ts';
import type { IdentityLine } from '../../firmware-protocol/lines.ts';
import { STANDARD_ATMOSPHERE_KPA } from '../signal/engine-setup.ts';
import type { ChannelScales } from './measuring-parts.ts';

/** What a calibration found out about one channel. */
export interface ChannelCalibration {
  readonly correction: Correction;
  /** Standard uncertainty of the channel's absolute pressure [kPa]. */
  readonly standardUncertaintyKpa: number;
  /** Standard uncertainty of its difference to the other channels [kPa]. */
  readonly differenceUncertaintyKpa: number;
}

/** The simulated sensors are exact: what they say is the truth of the exercise. */
const PRACTICE_BOARD_ID = 'practice';

/** What a capture keeps, to turn its counts into the same pressures again. */
export interface ScalesRecord {
  readonly boardId: string;
  readonly sensorTypes: readonly string[];
  readonly fullScaleCounts: number;
  /** One per channel, or null where none was made. */
  readonly calibrations: readonly (ChannelCalibration | null)[];
}

/** @param calibrations of this board's channels, null where there is none */
export function channelScalesFor(
  identity: Pick<IdentityLine, 'boardId' | 'sensorTypes' | 'fullScaleCounts'>,
  calibrations: readonly (ChannelCalibration | null)[] = identity.sensorTypes.map(() => null),
): ChannelScales {
  return channelScalesOf({
    boardId: identity.boardId,
    sensorTypes: identity.sensorTypes,
    fullScaleCounts: identity.fullScaleCounts,
    calibrations,
  });
}

export function channelScalesOf(record: ScalesRecord): ChannelScales {
  const exact = record.boardId === PRACTICE_BOARD_ID;
  const channels = record.sensorTypes.map((name, channel) => {
    const type = findSensorType(name);
    if (type === null) return null;
    const calibration = record.calibrations[channel] ?? null;
    const scale = channelScale(type, record.fullScaleCounts, calibration?.correction);
    // A band without further knowledge is taken as rectangular: GUM (JCGM 100), 4.3.7.
    const bandKpa = exact ? 0 : type.errorBandKpa / Math.sqrt(3);
    return {
      scale,
      standardUncertaintyKpa: calibration?.standardUncertaintyKpa ?? bandKpa,
      differenceUncertaintyKpa: calibration?.differenceUncertaintyKpa ?? bandKpa * Math.SQRT2,
    };
  });
  return {
    absoluteKpa(channel, counts, ambientKpa) {
      const known = channels[channel];
      return known && counts >= 0 ? absoluteKpa(known.scale, counts, ambientKpa) : Number.NaN;
    },
    record,
    instrumentOptions: (cylinders) => {
      const used = channels.slice(0, cylinders);
      return {
        sensorRanges: used.map((known) =>
          known ? measurableRangeKpa(known.scale, STANDARD_ATMOSPHERE_KPA) : null,
        ),
        standardUncertaintyKpa: used.map((known) => known?.standardUncertaintyKpa ?? 0),
        differenceUncertaintyKpa: used.map((known) => known?.differenceUncertaintyKpa ?? 0),
      };
    },
    trouble: channels.includes(null) ? 'board-unknown-sensor' : null,
  };
}
