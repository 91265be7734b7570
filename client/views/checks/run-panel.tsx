import type { CheckState } from '../../../server/contract/checks.ts';
import { discardCheck, finishCheck, happen } from './checks-state.ts';
import { figureWords } from './figure-words.ts';
import { HoldButton } from './hold-button.tsx';

type Running = NonNullable<CheckState['running']>;

/** The check that runs: what to do now, and the button. */
export function RunPanel({ running }: { running: Running }) {
  const { step, steps, instruction, button, next, held, leftS, figures, canFinish, practice } = running;
  return (
    <section class="panel check-run" aria-labelledby="check-now">
      <h2 class="panel-name" id="check-now">
        {steps > 0 ? `Step ${Math.min(step + 1, steps)} of ${steps}` : 'Running'}
        {practice ? ', practice' : ''}
      </h2>
      <p class="check-instruction" role="status" data-testid="check-instruction">
        {instruction}
      </p>
      <p class="check-left" data-testid="check-left">
        {leftS === null ? '\u00a0' : `${Math.ceil(leftS)} s`}
      </p>
      {button !== null && <HoldButton words={button} held={held} />}
      {figures.length > 0 && (
        <dl class="facts">
          {figures.map((figure) => (
            <div key={figure.name}>
              <dt>{figure.name}</dt>
              <dd>{figureWords(figure)}</dd>
            </div>
          ))}
        </dl>
      )}
      <div class="button-row">
        {next !== null && (
          <button type="button" class="strong" data-testid="check-next" onClick={() => void happen('next')}>
            {next}
          </button>
        )}
        <button
          type="button"
          data-testid="check-finish"
          disabled={!canFinish}
          onClick={() => void finishCheck()}
        >
          End with what was seen
        </button>
        <button type="button" data-testid="check-discard" onClick={() => void discardCheck()}>
          Cancel
        </button>
      </div>
    </section>
  );
}
