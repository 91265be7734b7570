import { computed } from '@preact/signals';
import { storedChoice } from '../settings/stored-choice.ts';
import { PRESSURE_UNITS, type PressureUnitId, pressureUnit } from './pressure-unit.ts';

const chosenId = storedChoice<PressureUnitId>(
  'unit',
  (text) => pressureUnit(text).id,
  (id) => id,
);

/** The unit that every pressure on the screen is shown in. */
export const chosenUnit = computed(() => pressureUnit(chosenId.value));

export function chooseUnit(id: PressureUnitId): void {
  chosenId.value = id;
}

export function chooseNextUnit(): void {
  const index = PRESSURE_UNITS.findIndex((unit) => unit.id === chosenId.value);
  chosenId.value = PRESSURE_UNITS[(index + 1) % PRESSURE_UNITS.length]!.id;
}
