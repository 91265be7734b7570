import type { ComponentChildren } from 'preact';

/** A table that may be wider than the screen: it scrolls in its own frame, by keyboard too. */
export function WideTable({ name, children }: { name: string; children: ComponentChildren }) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a region that scrolls has to take the focus, or the keyboard cannot scroll it
    <section class="wide-table" aria-label={name} tabIndex={0}>
      {children}
    </section>
  );
}
