import { openView, view } from '../view.ts';

/** Frames that the bench may take to be drawn. */
const MOST_FRAMES = 30;

/** Puts the keys on the next screw of the practice engine, from wherever they are. */
export function focusNextScrew(): void {
  if (view.peek() !== 'bench') openView('bench');
  focusSoon(MOST_FRAMES);
}

function focusSoon(frames: number): void {
  const screws = [...document.querySelectorAll<HTMLElement>('.practice [role=spinbutton]')];
  const at = screws.indexOf(document.activeElement as HTMLElement);
  const next = screws[(at + 1) % screws.length];
  if (next !== undefined) next.focus();
  else if (frames > 0) requestAnimationFrame(() => focusSoon(frames - 1));
}
