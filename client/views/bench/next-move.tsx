import { nextMove } from './next-move-state.ts';

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
