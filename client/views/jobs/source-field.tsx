import { useEffect, useRef, useState } from 'preact/hooks';
import { TextField } from './text-field.tsx';

interface SourceFieldProps {
  readonly id: string;
  readonly name?: string;
  readonly source: string;
  readonly onChange: (source: string) => void;
}

/** A short text that counts when it is left: mostly where a figure was read. */
export function SourceField({ id, name = 'Manual, page', source, onChange }: SourceFieldProps) {
  const [text, setText] = useState(source);
  const editing = useRef(false);
  useEffect(() => {
    if (!editing.current) setText(source);
  }, [source]);
  return (
    <TextField
      name={name}
      id={id}
      value={text}
      onInput={(typed) => {
        editing.current = true;
        setText(typed);
      }}
      onLeave={() => {
        editing.current = false;
        if (text !== source) onChange(text);
      }}
    />
  );
}
