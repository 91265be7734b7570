import { chosenUnit } from '../../units/chosen-unit.ts';
import { fromKpa, toKpa } from '../../units/pressure-unit.ts';
import { NumberField } from './number-field.tsx';

export interface PressureFieldProps {
  readonly name: string;
  readonly id: string;
  readonly note?: string;
  readonly kpa: number;
  readonly leastKpa: number;
  readonly mostKpa: number;
  readonly disabled?: boolean;
  readonly onChange: (kpa: number) => void;
}

/** A pressure in the unit that the screen shows. */
export function PressureField({
  name,
  id,
  note,
  kpa,
  leastKpa,
  mostKpa,
  disabled = false,
  onChange,
}: PressureFieldProps) {
  const unit = chosenUnit.value;
  return (
    <NumberField
      key={unit.id}
      name={`${name}, ${unit.id}`}
      id={id}
      {...(note === undefined ? {} : { note })}
      value={fromKpa(kpa, unit)}
      decimals={unit.maxDecimals}
      least={fromKpa(leastKpa, unit)}
      most={fromKpa(mostKpa, unit)}
      required
      disabled={disabled}
      onChange={(value) => {
        // A limit typed as it is shown may lie a hair outside in kPa.
        if (value !== null) onChange(Math.max(leastKpa, Math.min(mostKpa, toKpa(value, unit))));
      }}
    />
  );
}
