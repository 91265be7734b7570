import { CheckedField } from './checked-field.tsx';

/** As the record takes it: digits as typed, point or comma. */
const DECIMAL = /^(\d{1,9}([.,]\d{0,6})?|[.,]\d{1,6})$/;

interface DecimalFieldProps {
  readonly name: string;
  readonly id: string;
  /** Digit by digit as it was typed, or null when empty. */
  readonly value: string | null;
  readonly note?: string;
  readonly nameUnseen?: boolean;
  readonly onChange: (value: string | null) => void;
}

/** A number that is kept as it was typed: 0.10 stays 0.10. */
export function DecimalField({ value, onChange, ...field }: DecimalFieldProps) {
  const stored = value ?? '';
  return (
    <CheckedField
      {...field}
      stored={stored}
      wrongWith={(text) =>
        text.trim() === '' || DECIMAL.test(text.trim()) ? '' : 'A number such as 0.15 is needed here.'
      }
      onLeave={(text) => {
        const typed = text.trim();
        if (typed !== stored) onChange(typed === '' ? null : typed);
      }}
    />
  );
}
