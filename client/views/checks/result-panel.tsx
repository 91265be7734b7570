import { CHECK_VERDICT_WORDS, LOOKED_FOR } from '../../../server/contract/check-words.ts';
import type { CheckResult } from '../../../server/contract/checks.ts';
import { figureWords } from './figure-words.ts';
import { IdleCycles } from './idle-cycles.tsx';

/** What a check found, how sure that is and what to do. */
export function ResultPanel({ result }: { result: CheckResult }) {
  const { kind, verdict, summary, whatToDo, rows, hints, picture, practice } = result;
  return (
    <section class="panel" aria-labelledby="check-result" data-testid="check-result" data-verdict={verdict}>
      <h2 class="panel-name" id="check-result">
        {LOOKED_FOR[kind]}: {CHECK_VERDICT_WORDS[verdict]}
        {practice ? ' (practice)' : ''}
      </h2>
      <p class="comparison-words" role="status">
        {summary}
      </p>
      <p>{whatToDo}</p>
      {hints.length > 0 && (
        <ul class="check-hints">
          {hints.map(({ seen, pointsTo }) => (
            <li key={pointsTo}>
              <strong>{seen}</strong> {pointsTo}{' '}
              <span class="panel-note">Common practice, not a diagnosis.</span>
            </li>
          ))}
        </ul>
      )}
      {picture !== null && <IdleCycles picture={picture} />}
      <ul class="check-rows">
        {rows.map((row) => (
          <li key={row.name} data-testid="check-row" data-verdict={row.verdict}>
            <h3>
              {row.name}: {CHECK_VERDICT_WORDS[row.verdict]}
            </h3>
            {row.strength !== null && <p>{sentence(row.strength)}</p>}
            {row.figures.length > 0 && (
              <dl class="facts">
                {row.figures.map((figure) => (
                  <div key={figure.name}>
                    <dt>{figure.name}</dt>
                    <dd>{figureWords(figure)}</dd>
                  </div>
                ))}
              </dl>
            )}
            {row.whatToDo !== '' && row.whatToDo !== whatToDo && row.verdict !== 'not-found' && (
              <p>{row.whatToDo}</p>
            )}
          </li>
        ))}
      </ul>
    </section>
  );
}

function sentence(words: string): string {
  return `${words.charAt(0).toUpperCase()}${words.slice(1)}.`;
}
