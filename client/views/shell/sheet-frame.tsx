import type { ComponentChildren } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { hideSheet } from './sheet.ts';

export interface SheetFrameProps {
  readonly name: string;
  readonly closeWords: string;
  readonly closeTestId: string;
  readonly children: ComponentChildren;
  readonly onClose?: () => void;
}

/** A dialog over the screen. Escape and the button close it, and the focus goes back to where it was. */
export function SheetFrame({ name, closeWords, closeTestId, children, onClose }: SheetFrameProps) {
  const ref = useRef<HTMLDialogElement>(null);
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => {
    const before = document.activeElement;
    ref.current?.showModal();
    // Not the button: a stray press of the space bar would close what was not read yet.
    heading.current?.focus();
    return () => {
      if (before instanceof HTMLElement) before.focus();
    };
  }, []);
  return (
    <dialog
      class="sheet"
      ref={ref}
      aria-labelledby="sheet-name"
      onClose={() => {
        onClose?.();
        hideSheet();
      }}
    >
      <h2 class="sheet-name" id="sheet-name" tabIndex={-1} ref={heading}>
        {name}
      </h2>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls has to take the focus, or the keyboard cannot scroll it */}
      <section class="sheet-body" aria-labelledby="sheet-name" tabIndex={0}>
        {children}
      </section>
      <button type="button" class="strong" data-testid={closeTestId} onClick={() => ref.current?.close()}>
        {closeWords}
      </button>
    </dialog>
  );
}
