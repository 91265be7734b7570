import { openView } from '../view.ts';
import { ProblemLine } from './problem-line.tsx';
import { records } from './record-api.ts';
import { useFetched } from './use-fetched.ts';

const VERDICT_WORDS = { found: 'found', 'not-found': 'not found', 'cannot-tell': 'cannot tell' } as const;

/** Guided checks that were made for this job, with what they found. */
export function CheckedSection({ visitId }: { visitId: string }) {
  const results = useFetched(() => records.checkResults(visitId), visitId);
  return (
    <section class="panel" aria-labelledby="checked-name">
      <h2 class="panel-name" id="checked-name">
        Guided checks
      </h2>
      <ProblemLine problem={results.problem} again={results.again} />
      {results.value?.length === 0 && (
        <p>None yet. Checks that are made while this job is on the bench come here.</p>
      )}
      <ul class="line-list">
        {(results.value ?? []).map(({ id, madeAtMs, verdict, summary, whatToDo, rows }) => (
          <li class="line" key={id} data-testid="checked">
            <p>
              <b>{summary}</b> <span class="practice-mark">{VERDICT_WORDS[verdict]}</span>
            </p>
            {rows.map((row) => (
              <p class="field-note" key={row.name}>
                {row.name}: {VERDICT_WORDS[row.verdict]}
                {row.strength === null ? '' : `, ${row.strength}`}
              </p>
            ))}
            {whatToDo !== '' && <p>{whatToDo}</p>}
            <p class="field-note">
              {new Intl.DateTimeFormat(undefined, { dateStyle: 'medium', timeStyle: 'short' }).format(
                madeAtMs,
              )}
            </p>
          </li>
        ))}
      </ul>
      <button type="button" class="start" onClick={() => openView('checks')}>
        To the checks
      </button>
    </section>
  );
}
