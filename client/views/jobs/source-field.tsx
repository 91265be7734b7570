import { useTypedText } from '../typed-text.ts';
import { TextField } from './text-field.tsx';

interface SourceFieldProps {
  readonly id: string;
  readonly name?: string;
  readonly source: string;
  readonly onChange: (source: string) => void;
}

/** A short text that counts when it is left: mostly where a figure was read. */
export function SourceField({ id, name = 'Manual, page', source, onChange }: SourceFieldProps) {
  const typed = useTypedText(source);
  return (
    <TextField
      name={name}
      id={id}
      value={typed.text}
      onInput={typed.type}
      onLeave={() => {
        typed.leave();
        if (typed.text !== source) onChange(typed.text);
      }}
    />
  );
}
