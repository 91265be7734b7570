import { useEffect, useRef, useState } from 'preact/hooks';

export interface TypedText {
  readonly text: string;
  readonly type: (text: string) => void;
  /** The field is left: what is stored may show again. */
  readonly leave: () => void;
}

/** The text of a field that counts when it is left: what is stored shows, except while the person types. */
export function useTypedText(stored: string): TypedText {
  const [text, setText] = useState(stored);
  const editing = useRef(false);
  useEffect(() => {
    if (!editing.current) setText(stored);
  }, [stored]);
  return {
    text,
    type: (typed) => {
      editing.current = true;
      setText(typed);
    },
    leave: () => {
      editing.current = false;
    },
  };
}
