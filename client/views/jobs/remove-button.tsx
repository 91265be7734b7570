import { useState } from 'preact/hooks';

/** Asks once more before a line is taken out for good. */
export function RemoveButton({ what, onRemove }: { what: string; onRemove: () => void }) {
  const [asked, setAsked] = useState(false);
  return asked ? (
    <div class="button-row">
      <button type="button" class="strong" onClick={onRemove}>
        Take out for good
      </button>
      <button type="button" onClick={() => setAsked(false)}>
        Keep
      </button>
    </div>
  ) : (
    <button type="button" class="plain" aria-label={`Take out: ${what}`} onClick={() => setAsked(true)}>
      Take out
    </button>
  );
}
