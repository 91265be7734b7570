import { useEffect, useState } from 'preact/hooks';
import { figures } from '../../link/shown.ts';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { nextMove } from '../bench/next-move-state.ts';
import { type Announcement, announcement, worthSaying } from './announcement.ts';

const LOOK_EVERY_MS = 500;

/** Says gap and next move to a screen reader, no faster than they can be listened to. */
export function Announcer() {
  const [text, setText] = useState('');
  useEffect(() => {
    let last: Announcement | null = null;
    let saidAt = 0;
    const timer = setInterval(() => {
      const next = announcement(figures.peek(), nextMove.peek(), chosenUnit.peek());
      if (!worthSaying(last, next, performance.now() - saidAt)) return;
      last = next;
      saidAt = performance.now();
      setText(next.text);
    }, LOOK_EVERY_MS);
    return () => clearInterval(timer);
  }, []);
  return (
    <p class="unseen" role="status" data-testid="spoken">
      {text}
    </p>
  );
}
