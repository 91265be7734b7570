import { idleReminder, nextMove } from './next-move-state.ts';

/** One sentence on what to turn next. Nothing at all while there is no advice. */
export function NextMove() {
  const move = nextMove.value;
  if (move === null) return null;
  return (
    <p class="next-move" data-testid="next-move">
      {move}
    </p>
  );
}

/** That balancing has moved the idle speed out of its band. */
export function IdleReminder() {
  const reminder = idleReminder.value;
  if (reminder === null) return null;
  return (
    <p class="idle-reminder" data-testid="idle-reminder">
      {reminder}
    </p>
  );
}

/** One sentence alone, for far away: first the idle speed is put right, as everything else is compared at it. */
export function FarSentence() {
  return idleReminder.value === null ? (
    <NextMove />
  ) : (
    <div class="next-move">
      <IdleReminder />
    </div>
  );
}
