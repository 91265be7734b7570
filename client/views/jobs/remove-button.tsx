import { useState } from 'preact/hooks';

interface RemoveButtonProps {
  /** For screen readers, which do not see beside what it stands. */
  readonly what: string;
  readonly words?: string;
  readonly onRemove: () => void;
}

/** Asks once more before a line is removed for good. */
export function RemoveButton({ what, words = 'Remove', onRemove }: RemoveButtonProps) {
  const [asked, setAsked] = useState(false);
  return asked ? (
    <div class="button-row">
      <button type="button" class="strong" onClick={onRemove}>
        Remove for good
      </button>
      <button type="button" onClick={() => setAsked(false)}>
        Keep
      </button>
    </div>
  ) : (
    <button type="button" class="plain" aria-label={`${words}: ${what}`} onClick={() => setAsked(true)}>
      {words}
    </button>
  );
}
