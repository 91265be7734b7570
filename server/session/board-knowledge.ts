import { applies, type NotApplicable } from '../../calibration/channel-calibration.ts';
import type { SensorType } from '../../calibration/sensor-type.ts';
import { findSensorType } from '../../calibration/sensor-types.ts';
import type { IdentityLine } from '../../firmware-protocol/lines.ts';
import type { CalibrationStore, EnteredSensor, StoredCalibration } from '../jobs/calibration-store.ts';

export type KnownBoard = Pick<IdentityLine, 'boardId' | 'sensorTypes'>;

/** The sensors of a board: what the person entered goes before what the board says. */
export function sensorsOf(
  board: KnownBoard,
  entered: readonly EnteredSensor[],
): { readonly type: SensorType | null; readonly serial: string | null; readonly entered: boolean }[] {
  return board.sensorTypes.map((name, channel) => {
    const own = entered.find((sensor) => sensor.channel === channel);
    return {
      type: own?.type ?? findSensorType(name),
      serial: own?.serial ?? null,
      entered: (own?.type ?? null) !== null,
    };
  });
}

export type KnownSensor = ReturnType<typeof sensorsOf>[number];

export type Fit = { readonly ok: true } | { readonly ok: false; readonly reason: NotApplicable };

/** Whether a calibration may be used for a board with these sensors: not where one of them is another now. */
export function fits(
  { board: calibration }: Pick<StoredCalibration, 'board'>,
  boardId: string,
  sensors: readonly Pick<KnownSensor, 'type' | 'serial'>[],
): Fit {
  if (calibration.boardId !== boardId) return { ok: false, reason: 'other-board' };
  if (calibration.channels.length !== sensors.length) return { ok: false, reason: 'other-channel' };
  for (const [channel, { type, serial }] of sensors.entries()) {
    const own = calibration.channels[channel]!;
    const checked = applies(own, boardId, channel, type?.name ?? 'unknown');
    if (!checked.ok) return checked;
    if (serial !== null && own.sensorSerial !== null && serial !== own.sensorSerial)
      return { ok: false, reason: 'other-sensor-type' };
  }
  return { ok: true };
}

/** The newest calibration of this very board that can be used; null where there is none. */
export function newestFitting(
  store: Pick<CalibrationStore, 'ofBoard'>,
  boardId: string,
  sensors: readonly Pick<KnownSensor, 'type' | 'serial'>[],
  onUnreadable?: (id: string, reason: string) => void,
): StoredCalibration | null {
  const stored = store.ofBoard(boardId, onUnreadable);
  return stored.find((calibration) => fits(calibration, boardId, sensors).ok) ?? null;
}
