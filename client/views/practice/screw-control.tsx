import { LARGE_TURN, SMALL_TURN } from './turns.ts';

export interface ScrewControlProps {
  readonly name: string;
  readonly turns: number;
  readonly words: string;
  readonly least: number;
  readonly most: number;
  /** Start of the test ids of its buttons. */
  readonly testId: string;
  readonly onTurn: (turns: number) => void;
}

/** A screw to be turned in or out, a little or a lot; arrow keys do the same. */
export function ScrewControl({ name, turns, words, least, most, testId, onTurn }: ScrewControlProps) {
  const onKeyDown = (event: KeyboardEvent) => {
    const step = KEY_TURNS[event.key];
    if (step === undefined || event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    event.stopPropagation();
    onTurn(event.shiftKey && Math.abs(step) === SMALL_TURN ? Math.sign(step) * LARGE_TURN : step);
  };
  return (
    <div class="screw">
      <div
        class="screw-name"
        role="spinbutton"
        tabIndex={0}
        aria-label={`${name}, turns`}
        aria-valuenow={turns}
        aria-valuemin={least}
        aria-valuemax={most}
        aria-valuetext={words}
        onKeyDown={onKeyDown}
      >
        <span>{name}</span>
        <span class="screw-turns">{words}</span>
      </div>
      <div class="screw-buttons">
        <Turn name={name} turns={-LARGE_TURN} label="¼ out" testId={`${testId}-less-large`} onTurn={onTurn} />
        <Turn name={name} turns={-SMALL_TURN} label="a bit out" testId={`${testId}-less`} onTurn={onTurn} />
        <Turn name={name} turns={SMALL_TURN} label="a bit in" testId={`${testId}-more`} onTurn={onTurn} />
        <Turn name={name} turns={LARGE_TURN} label="¼ in" testId={`${testId}-more-large`} onTurn={onTurn} />
      </div>
    </div>
  );
}

function Turn(props: {
  name: string;
  turns: number;
  label: string;
  testId: string;
  onTurn: (turns: number) => void;
}) {
  return (
    <button
      type="button"
      data-testid={props.testId}
      aria-label={`${props.name}: ${props.label}`}
      onClick={() => props.onTurn(props.turns)}
    >
      {props.label}
    </button>
  );
}

const KEY_TURNS: Readonly<Record<string, number>> = {
  ArrowUp: SMALL_TURN,
  ArrowRight: SMALL_TURN,
  ArrowDown: -SMALL_TURN,
  ArrowLeft: -SMALL_TURN,
  PageUp: LARGE_TURN,
  PageDown: -LARGE_TURN,
};
