import type { SetupPatch } from '../../../server/contract/http.ts';
import type { Setup } from '../../../server/contract/setup.ts';
import { Choice } from './choice.tsx';
import { PressureField } from './pressure-field.tsx';

const SOURCES: readonly { readonly value: Setup['barometricFrom']; readonly words: string }[] = [
  { value: 'standard', words: 'Standard' },
  { value: 'entered', words: 'Entered' },
  { value: 'board', words: 'Board’s barometer' },
  { value: 'key-off', words: 'Ports, engine stopped' },
];

export interface BarometricFieldProps {
  readonly settings: Setup;
  readonly disabled: boolean;
  readonly onChange: (patch: SetupPatch) => void;
}

/** The pressure that vacuum is counted from. Gaps do not depend on it. */
export function BarometricField({ settings, disabled, onChange }: BarometricFieldProps) {
  return (
    <>
      <Choice
        name="Barometric pressure from"
        group="barometric-from"
        note="Vacuum is counted from it. The differences between cylinders do not depend on it."
        disabled={disabled}
        options={SOURCES}
        value={settings.barometricFrom}
        onChoose={(barometricFrom) => onChange({ barometricFrom })}
      />
      <PressureField
        name="Barometric pressure"
        id="barometric"
        kpa={settings.barometricKpa}
        leastKpa={50}
        mostKpa={120}
        disabled={disabled}
        onChange={(barometricKpa) => onChange({ barometricKpa, barometricFrom: 'entered' })}
      />
    </>
  );
}
