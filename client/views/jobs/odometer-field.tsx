import type { Odometer } from '../../../server/contract/jobs-values.ts';
import { storedChoice } from '../../settings/stored-choice.ts';
import { DecimalField } from './decimal-field.tsx';
import { SelectField } from './select-field.tsx';

type DistanceUnit = Odometer['unit'];

/** The unit that was used last at this screen. */
const unit = storedChoice<DistanceUnit>(
  'distance-unit',
  (text) => (text === 'mi' ? 'mi' : 'km'),
  (value) => value,
);
const UNITS: readonly { value: DistanceUnit; words: string }[] = [
  { value: 'km', words: 'km' },
  { value: 'mi', words: 'miles' },
];

interface OdometerFieldProps {
  readonly id: string;
  readonly name?: string;
  readonly value: Odometer | null;
  readonly onChange: (value: Odometer | null) => void;
}

/** A distance in the person's unit, kept as typed. */
export function OdometerField({ id, name = 'Odometer', value, onChange }: OdometerFieldProps) {
  const chosen = value?.unit ?? unit.value;
  return (
    <div class="with-unit">
      <DecimalField
        name={name}
        id={id}
        value={value?.value ?? null}
        onChange={(typed) => onChange(typed === null ? null : { value: typed, unit: chosen })}
      />
      <SelectField
        name={`${name}, unit`}
        nameUnseen
        id={`${id}-unit`}
        value={chosen}
        options={UNITS}
        onChoose={(next) => {
          unit.value = next;
          if (value !== null) onChange({ ...value, unit: next });
        }}
      />
    </div>
  );
}

export function odometerWords(odometer: Odometer | null): string {
  return odometer === null ? '' : `${odometer.value} ${odometer.unit === 'km' ? 'km' : 'miles'}`;
}
