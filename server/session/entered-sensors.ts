import { OWN_SENSOR_REFUSALS, ownSensorType } from '../../calibration/own-sensor-type.ts';
import type { SensorType } from '../../calibration/sensor-type.ts';
import { findSensorType } from '../../calibration/sensor-types.ts';
import type { SensorChoice, SensorsChange } from '../contract/calibration.ts';
import type { EnteredSensor } from '../jobs/calibration-store.ts';
import type { Outcome } from './measuring-parts.ts';

/** What the person entered of the sensors, as it is kept, or why it cannot be. */
export function enteredSensors(
  sensors: SensorsChange['sensors'],
  channels: number,
): Outcome<EnteredSensor[]> {
  const entered: EnteredSensor[] = [];
  for (const { channel, type: choice, serial } of sensors) {
    if (channel > channels || entered.some((sensor) => sensor.channel === channel - 1))
      return { ok: false, code: 'bad-request', detail: `sensors: channel ${channel}` };
    const type = typeOf(choice);
    if (!type.ok)
      return { ok: false, code: 'sensor-type-unusable', detail: `channel ${channel}: ${type.sentence}` };
    entered.push({ channel: channel - 1, type: type.value, serial: serial?.trim() ? serial.trim() : null });
  }
  return { ok: true, value: entered };
}

/** The other way round, for a form. */
export function choiceOf(type: SensorType | null, entered: boolean): SensorChoice {
  if (!entered || type === null) return { kind: 'board' };
  const { transfer, lowestKpa, highestKpa } = type;
  if (findSensorType(type.name) !== null || transfer.kind !== 'ratiometric')
    return { kind: 'known', name: type.name };
  const shareAt = (kpa: number) => Math.min(1, Math.max(0, transfer.perKpa * kpa + transfer.zero));
  return {
    kind: 'own',
    name: type.name,
    measures: type.measures,
    low: { supplyShare: shareAt(lowestKpa), kpa: lowestKpa },
    high: { supplyShare: shareAt(highestKpa), kpa: highestKpa },
    errorBandKpa: type.errorBandKpa,
  };
}

type TypeOf =
  | { readonly ok: true; readonly value: SensorType | null }
  | { readonly ok: false; readonly sentence: string };

function typeOf(choice: SensorChoice): TypeOf {
  if (choice.kind === 'board') return { ok: true, value: null };
  if (choice.kind === 'known') {
    const value = findSensorType(choice.name);
    return value === null
      ? { ok: false, sentence: `${choice.name} is not in the list.` }
      : { ok: true, value };
  }
  // A type of the list keeps its name for itself: its figures are not to be had under another meaning.
  if (findSensorType(choice.name) !== null)
    return {
      ok: false,
      sentence: `${choice.name} is in the list already: choose it there, or give another name.`,
    };
  const own = ownSensorType(choice);
  if (own.ok) return { ok: true, value: own.type };
  const { message, whatToDo } = OWN_SENSOR_REFUSALS[own.reason];
  return { ok: false, sentence: `${message} ${whatToDo}` };
}
