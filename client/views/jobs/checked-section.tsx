import { CHECK_NAMES, CHECK_VERDICT_WORDS, LOOKED_FOR } from '../../../server/contract/check-words.ts';
import type { CheckResult } from '../../../server/contract/checks.ts';
import { figureWords } from '../checks/figure-words.ts';
import { openView } from '../view.ts';
import { ProblemLine } from './problem-line.tsx';
import { records } from './record-api.ts';
import { useFetched } from './use-fetched.ts';

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
        {(results.value ?? []).map((result) => (
          <Checked key={result.id} result={result} />
        ))}
      </ul>
      <button type="button" class="start" onClick={() => openView('checks')}>
        To the checks
      </button>
    </section>
  );
}

function Checked({ result }: { result: CheckResult }) {
  const { kind, practice, madeAtMs, verdict, summary, whatToDo, rows } = result;
  const made = new Intl.DateTimeFormat(undefined, { dateStyle: 'medium', timeStyle: 'short' });
  return (
    <li class="line" data-testid="checked">
      <h3>
        {CHECK_NAMES[kind]}
        {practice && <span class="practice-mark"> practice</span>}
      </h3>
      <p>
        <b>
          {LOOKED_FOR[kind]}: {CHECK_VERDICT_WORDS[verdict]}.
        </b>{' '}
        {summary}
      </p>
      {rows.map(({ name, verdict: ofPart, strength, figures }) => (
        <p class="field-note" key={name}>
          {name}: {CHECK_VERDICT_WORDS[ofPart]}
          {strength === null ? '' : `, ${strength}`}
          {figures.length > 0 &&
            ` (${figures.map((figure) => `${figure.name} ${figureWords(figure)}`).join(', ')})`}
        </p>
      ))}
      {whatToDo !== '' && <p>{whatToDo}</p>}
      <p class="field-note">{made.format(madeAtMs)}</p>
    </li>
  );
}
