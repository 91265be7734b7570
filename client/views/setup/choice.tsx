export interface ChoiceProps<T extends string | number> {
  readonly name: string;
  /** Name of the group of buttons, unique on the page. */
  readonly group: string;
  readonly note?: string;
  readonly options: readonly { readonly value: T; readonly words: string }[];
  readonly value: T;
  readonly disabled?: boolean;
  readonly onChoose: (value: T) => void;
}

/** One of a few, all of them in sight. */
export function Choice<T extends string | number>(props: ChoiceProps<T>) {
  const { name, group, note, options, value, disabled = false, onChoose } = props;
  return (
    <fieldset class="choice" disabled={disabled}>
      <legend>{name}</legend>
      <div class="choice-options">
        {options.map((option) => (
          <label key={option.value}>
            <input
              type="radio"
              name={group}
              value={option.value}
              checked={option.value === value}
              onChange={() => onChoose(option.value)}
            />
            <span class="choice-words">{option.words}</span>
          </label>
        ))}
      </div>
      {note !== undefined && <p class="field-note">{note}</p>}
    </fieldset>
  );
}
