import { useEffect, useRef } from 'preact/hooks';
import { happen } from './checks-state.ts';

/** Keys that a foot switch or a knee can press. */
const HOLD_KEYS = [' ', 'Enter', 'PageDown', 'PageUp'];

/** Counts as long as it is held: by finger, by mouse, by a key or a foot switch that sends one. */
export function HoldButton({ words, held }: { words: string; held: boolean }) {
  const down = useRef(false);
  const press = (atMs: number): void => {
    if (down.current) return;
    down.current = true;
    void happen('down', atMs);
  };
  const release = (atMs: number): void => {
    if (!down.current) return;
    down.current = false;
    void happen('up', atMs);
  };
  useEffect(() => {
    const onKey = (event: KeyboardEvent): void => {
      if (!HOLD_KEYS.includes(event.key) || busyElsewhere(event.target)) return;
      event.preventDefault();
      if (event.type === 'keydown') press(event.timeStamp);
      else release(event.timeStamp);
    };
    const lose = (): void => release(performance.now());
    window.addEventListener('keydown', onKey);
    window.addEventListener('keyup', onKey);
    window.addEventListener('blur', lose);
    return () => {
      window.removeEventListener('keydown', onKey);
      window.removeEventListener('keyup', onKey);
      window.removeEventListener('blur', lose);
      lose();
    };
  }, []);
  return (
    <>
      <button
        type="button"
        class="check-hold"
        data-testid="check-hold"
        aria-pressed={held}
        onPointerDown={(event) => {
          event.currentTarget.setPointerCapture(event.pointerId);
          press(event.timeStamp);
        }}
        onPointerUp={(event) => release(event.timeStamp)}
        onPointerCancel={(event) => release(event.timeStamp)}
        onContextMenu={(event) => event.preventDefault()}
      >
        {words}
      </button>
      <p class="panel-note">Press and hold; the space bar or a foot switch that sends it does the same.</p>
    </>
  );
}

/** Another control has the keyboard. */
function busyElsewhere(target: EventTarget | null): boolean {
  return (
    target instanceof HTMLElement &&
    target.closest('button:not(.check-hold), input, select, textarea, a, dialog') !== null
  );
}
