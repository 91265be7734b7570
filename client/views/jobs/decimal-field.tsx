import { useEffect, useRef, useState } from 'preact/hooks';

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

/** A number that is kept as it was typed: 0.10 stays 0.10. What is no number is said under it, and nothing changes. */
export function DecimalField({ name, id, value, note, nameUnseen = false, onChange }: DecimalFieldProps) {
  const [text, setText] = useState(value ?? '');
  const [wrong, setWrong] = useState(false);
  const editing = useRef(false);
  useEffect(() => {
    if (!editing.current) setText(value ?? '');
  }, [value]);
  const commit = () => {
    editing.current = false;
    const typed = text.trim();
    const good = typed === '' || DECIMAL.test(typed);
    setWrong(!good);
    if (good && typed !== (value ?? '')) onChange(typed === '' ? null : typed);
  };
  return (
    <div class="field">
      <label for={id} class={nameUnseen ? 'unseen' : undefined}>
        {name}
      </label>
      <input
        id={id}
        type="text"
        inputMode="decimal"
        autoComplete="off"
        value={text}
        aria-invalid={wrong}
        aria-describedby={wrong || note !== undefined ? `${id}-note` : undefined}
        onInput={(event) => {
          editing.current = true;
          setText(event.currentTarget.value);
        }}
        onBlur={commit}
        onKeyDown={(event) => {
          if (event.key === 'Enter') commit();
        }}
      />
      {(wrong || note !== undefined) && (
        <p class={wrong ? 'field-note field-wrong' : 'field-note'} id={`${id}-note`}>
          {wrong ? 'A number such as 0.15 is needed here.' : note}
        </p>
      )}
    </div>
  );
}
