interface SelectFieldProps<T extends string> {
  readonly name: string;
  readonly id: string;
  readonly value: T;
  readonly options: readonly { readonly value: T; readonly words: string }[];
  /** The name is only for screen readers: the place says it. */
  readonly nameUnseen?: boolean;
  readonly onChoose: (value: T) => void;
}

export function SelectField<T extends string>(props: SelectFieldProps<T>) {
  const { name, id, value, options, nameUnseen = false, onChoose } = props;
  return (
    <div class="field">
      <label for={id} class={nameUnseen ? 'unseen' : undefined}>
        {name}
      </label>
      <select
        id={id}
        value={value}
        onChange={(event) => {
          const chosen = options.find((option) => option.value === event.currentTarget.value);
          if (chosen !== undefined) onChoose(chosen.value);
        }}
      >
        {options.map((option) => (
          <option key={option.value} value={option.value}>
            {option.words}
          </option>
        ))}
      </select>
    </div>
  );
}
