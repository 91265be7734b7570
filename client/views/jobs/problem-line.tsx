import type { ErrorBody } from '../../../server/contract/http.ts';

/** Why something could not be read, with a way to try again. */
export function ProblemLine({ problem, again }: { problem: ErrorBody | null; again: () => void }) {
  if (problem === null) return null;
  return (
    <div class="entry-problem" role="alert">
      <p>
        {problem.message} {problem.whatToDo}
      </p>
      <button type="button" onClick={again}>
        Try again
      </button>
    </div>
  );
}
