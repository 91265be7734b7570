import { useEffect } from 'preact/hooks';
import { captures, practice, update } from '../../link/latest.ts';
import { view } from '../view.ts';
import { balanceTurns, endTour, goToStep, type TourRun, tour } from './tour-state.ts';
import { TOUR_STEPS, type TourFacts } from './tour-steps.ts';

/** One step of the tour at a time: it goes on by itself when the step is done. */
export function TourPanel() {
  const run = tour.value;
  const step = run === null ? undefined : TOUR_STEPS[run.step];
  const done = run !== null && (step?.done?.(factsOf(run)) ?? false);
  useEffect(() => {
    if (done && run !== null) goToStep(run.step + 1);
  }, [done, run?.step]);
  if (run === null || step === undefined) return null;
  const last = run.step === TOUR_STEPS.length - 1;
  return (
    <aside class="tour" aria-label="Tour" data-testid="tour" data-step={run.step + 1}>
      <div role="status">
        <h2 class="panel-name">
          {step.name}{' '}
          <span class="field-note">
            {run.step + 1} of {TOUR_STEPS.length}
          </span>
        </h2>
        <p>{practice.value === null ? 'The tour goes on when the practice engine is back.' : step.words}</p>
      </div>
      <div class="button-row">
        {!last && (
          <button
            type="button"
            class={step.done === undefined ? 'strong' : undefined}
            data-testid="tour-next"
            onClick={() => goToStep(run.step + 1)}
          >
            {step.done === undefined ? 'Next' : 'Skip this'}
          </button>
        )}
        <button type="button" class={last ? 'strong' : undefined} data-testid="tour-end" onClick={endTour}>
          {last ? 'Done' : 'End the tour'}
        </button>
      </div>
    </aside>
  );
}

function factsOf({ known, turnsAtStart }: TourRun): TourFacts {
  const reading = update.value;
  const newest = (label: 'before' | 'after') =>
    captures.value.find((capture) => capture.label === label && !known.has(capture.id))?.state ?? null;
  return {
    settling: reading?.settling ?? null,
    verdict: reading?.verdict ?? null,
    screwTurned: balanceTurns() !== turnsAtStart,
    before: newest('before'),
    after: newest('after'),
    view: view.value,
  };
}
