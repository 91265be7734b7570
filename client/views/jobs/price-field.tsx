import { minorDigits } from '../../../server/contract/minor-units.ts';
import { CheckedField } from './checked-field.tsx';
import { minorOf } from './typed-money.ts';

interface PriceFieldProps {
  readonly name: string;
  readonly id: string;
  readonly typed: string;
  readonly currency: string;
  readonly onChange: (minor: number) => void;
}

/** An amount of money: as many digits as the currency has, never rounded. */
export function PriceField({ name, id, typed, currency, onChange }: PriceFieldProps) {
  const digits = minorDigits(currency);
  const read = (text: string) => minorOf(text === '' ? '0' : text, currency);
  const needed =
    digits === 0
      ? `A whole amount is needed here: ${currency} has no smaller unit.`
      : `An amount with at most ${digits} digits after the point is needed here.`;
  return (
    <CheckedField
      name={name}
      id={id}
      stored={typed}
      wrongWith={(text) => (read(text) === null ? needed : '')}
      onLeave={(text) => {
        const minor = read(text);
        if (minor !== null && text !== typed) onChange(minor);
      }}
    />
  );
}
