import { useState } from 'preact/hooks';
import { useTypedText } from '../typed-text.ts';

interface CheckedFieldProps {
  readonly name: string;
  readonly id: string;
  readonly stored: string;
  readonly note?: string | undefined;
  readonly nameUnseen?: boolean;
  /** What is wrong with a text, or '' where nothing is. */
  readonly wrongWith: (text: string) => string;
  /** The field is left with a text that nothing is wrong with. */
  readonly onLeave: (text: string) => void;
}

/** A number that counts when the field is left. What cannot be is said under it, and nothing changes. */
export function CheckedField(props: CheckedFieldProps) {
  const { name, id, stored, note, nameUnseen = false, wrongWith, onLeave } = props;
  const typed = useTypedText(stored);
  const [wrong, setWrong] = useState('');
  const commit = () => {
    typed.leave();
    const found = wrongWith(typed.text);
    setWrong(found);
    if (found === '') onLeave(typed.text);
  };
  const below = wrong === '' ? note : wrong;
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
        value={typed.text}
        aria-invalid={wrong !== ''}
        aria-describedby={below === undefined ? undefined : `${id}-note`}
        onInput={(event) => typed.type(event.currentTarget.value)}
        onBlur={commit}
        onKeyDown={(event) => {
          if (event.key === 'Enter') commit();
        }}
      />
      {below !== undefined && (
        <p class={wrong === '' ? 'field-note' : 'field-note field-wrong'} id={`${id}-note`}>
          {below}
        </p>
      )}
    </div>
  );
}
