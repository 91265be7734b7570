import type { EntryEdit } from './use-entry.ts';

interface TextFieldProps {
  readonly name: string;
  readonly id: string;
  readonly value: string;
  readonly note?: string;
  readonly lines?: number;
  readonly most?: number;
  readonly list?: string;
  readonly type?: 'text' | 'date' | 'email' | 'tel';
  readonly onInput: (value: string) => void;
  /** The field is left. */
  readonly onLeave?: () => void;
}

/** Text of one line, or of several. */
export function TextField({ name, id, value, note, lines = 1, onInput, onLeave, ...rest }: TextFieldProps) {
  const { most = lines > 1 ? 10_000 : 200, type = 'text', list } = rest;
  return (
    <div class="field">
      <label for={id}>{name}</label>
      {lines > 1 ? (
        <textarea
          id={id}
          rows={lines}
          maxLength={most}
          value={value}
          onInput={(event) => onInput(event.currentTarget.value)}
          onBlur={onLeave}
        />
      ) : (
        <input
          id={id}
          type={type}
          maxLength={most}
          autoComplete="off"
          list={list}
          value={value}
          onInput={(event) => onInput(event.currentTarget.value)}
          onBlur={onLeave}
          onKeyDown={(event) => {
            if (event.key === 'Enter') onLeave?.();
          }}
        />
      )}
      {note !== undefined && note !== '' && <p class="field-note">{note}</p>}
    </div>
  );
}

/** A text of an entry under edit: typed at once, saved when it is left. */
export function textOf<F extends object>(entry: EntryEdit<F>, key: keyof F) {
  return {
    value: String(entry.draft[key] ?? ''),
    onInput: (value: string) => entry.set({ [key]: value } as unknown as Partial<F>),
    onLeave: () => entry.save(),
  };
}
