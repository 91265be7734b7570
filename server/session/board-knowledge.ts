import { applies, NOT_APPLICABLE, type NotApplicable } from '../../calibration/channel-calibration.ts';
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

export type Fit =
  | { readonly ok: true }
  | { readonly ok: false; readonly reason: NotApplicable; readonly sentence: string };

/** Whether a calibration may be used for a board with these sensors. */
export function fits(
  { board: calibration }: Pick<StoredCalibration, 'board'>,
  boardId: string,
  types: readonly (SensorType | null)[],
): Fit {
  if (calibration.boardId !== boardId) return no('other-board');
  if (calibration.channels.length !== types.length) return no('other-channel');
  for (const [channel, type] of types.entries()) {
    const checked = applies(calibration.channels[channel]!, boardId, channel, type?.name ?? 'unknown');
    if (!checked.ok) return no(checked.reason);
  }
  return { ok: true };
}

/** The newest calibration of this very board that can be used; null where there is none. */
export function newestFitting(
  store: Pick<CalibrationStore, 'ofBoard'>,
  boardId: string,
  types: readonly (SensorType | null)[],
  onUnreadable?: (id: string, reason: string) => void,
): StoredCalibration | null {
  const stored = store.ofBoard(boardId, onUnreadable);
  return stored.find((calibration) => fits(calibration, boardId, types).ok) ?? null;
}

function no(reason: NotApplicable): Fit {
  const { message, whatToDo } = NOT_APPLICABLE[reason];
  return { ok: false, reason, sentence: `${message} ${whatToDo}` };
}
