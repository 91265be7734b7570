import { useState } from 'preact/hooks';

/** Pictures that the record takes. */
export const PICTURES = 'image/jpeg,image/png,image/webp';

interface FileChoiceProps {
  readonly words: string;
  /** While what was chosen is on its way. */
  readonly busyWords: string;
  readonly accept: string;
  readonly multiple?: boolean;
  readonly take: (files: readonly File[]) => Promise<void>;
}

/** A button that opens the files of the device. */
export function FileChoice({ words, busyWords, accept, multiple = false, take }: FileChoiceProps) {
  const [busy, setBusy] = useState(false);
  const choose = async (field: HTMLInputElement) => {
    const files = [...(field.files ?? [])];
    // Emptied, or the same file could not be chosen a second time after a failure.
    field.value = '';
    if (files.length === 0) return;
    setBusy(true);
    await take(files);
    setBusy(false);
  };
  return (
    <label class="file-choice">
      {busy ? busyWords : words}
      <input
        type="file"
        accept={accept}
        multiple={multiple}
        disabled={busy}
        onChange={(event) => choose(event.currentTarget)}
      />
    </label>
  );
}
