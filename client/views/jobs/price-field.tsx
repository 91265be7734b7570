import { useEffect, useRef, useState } from 'preact/hooks';
import { minorDigits, minorOf } from './money-text.ts';

interface PriceFieldProps {
  readonly name: string;
  readonly id: string;
  readonly typed: string;
  readonly currency: string;
  readonly onChange: (minor: number) => void;
}

/** An amount of money: as many digits as the currency has, never rounded. */
export function PriceField({ name, id, typed, currency, onChange }: PriceFieldProps) {
  const [text, setText] = useState(typed);
  const [wrong, setWrong] = useState(false);
  const editing = useRef(false);
  useEffect(() => {
    if (!editing.current) setText(typed);
  }, [typed]);
  const commit = () => {
    editing.current = false;
    const minor = minorOf(text === '' ? '0' : text, currency);
    setWrong(minor === null);
    if (minor !== null && text !== typed) onChange(minor);
  };
  const digits = minorDigits(currency);
  return (
    <div class="field">
      <label for={id}>{name}</label>
      <input
        id={id}
        type="text"
        inputMode="decimal"
        autoComplete="off"
        value={text}
        aria-invalid={wrong}
        aria-describedby={wrong ? `${id}-note` : undefined}
        onInput={(event) => {
          editing.current = true;
          setText(event.currentTarget.value);
        }}
        onBlur={commit}
        onKeyDown={(event) => {
          if (event.key === 'Enter') commit();
        }}
      />
      {wrong && (
        <p class="field-note field-wrong" id={`${id}-note`}>
          {digits === 0
            ? `A whole amount is needed here: ${currency} has no smaller unit.`
            : `An amount with at most ${digits} digits after the point is needed here.`}
        </p>
      )}
    </div>
  );
}
