import { useState } from 'preact/hooks';
import { useTypedText } from '../typed-text.ts';
import { readEntry } from './number-entry.ts';

export interface NumberFieldProps {
  readonly name: string;
  readonly id: string;
  readonly note?: string;
  readonly value: number | null;
  readonly decimals?: number;
  readonly least: number;
  readonly most: number;
  /** Whether it may be left empty, which means 'not set'. */
  readonly required?: boolean;
  readonly disabled?: boolean;
  readonly onChange: (value: number | null) => void;
}

/** A number that counts when the field is left or Enter is pressed. What cannot be is said under it, and nothing changes. */
export function NumberField(props: NumberFieldProps) {
  const { name, id, note, value, decimals = 0, least, most, required = false, disabled = false } = props;
  const shown = value === null ? '' : Number(value.toFixed(decimals)).toString();
  const { text, type, leave } = useTypedText(shown);
  const [wrong, setWrong] = useState('');

  const commit = () => {
    leave();
    const entry = readEntry(text, { least, most, required, decimals });
    setWrong(entry.wrong);
    if (entry.wrong === '' && text.trim() !== shown) props.onChange(entry.value);
  };
  return (
    <div class="field">
      <label for={id}>{name}</label>
      <input
        id={id}
        type="text"
        inputMode="decimal"
        autoComplete="off"
        value={text}
        disabled={disabled}
        aria-invalid={wrong !== ''}
        aria-describedby={`${id}-note`}
        onInput={(event) => type(event.currentTarget.value)}
        onBlur={commit}
        onKeyDown={(event) => {
          if (event.key === 'Enter') commit();
        }}
      />
      <p class={wrong === '' ? 'field-note' : 'field-note field-wrong'} id={`${id}-note`}>
        {wrong === '' ? (note ?? '') : wrong}
      </p>
    </div>
  );
}
