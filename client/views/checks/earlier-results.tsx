import { CHECK_VERDICT_WORDS } from '../../../server/contract/check-words.ts';
import type { CheckResult } from '../../../server/contract/checks.ts';
import { startedWords } from '../captures/capture-words.ts';
import { WideTable } from '../wide-table.tsx';
import { chosen, earlier } from './checks-state.ts';
import { figureWords } from './figure-words.ts';

const SHOWN = 12;

/** Earlier results of the same check, newest first; of the idle with its figures, so that before and after stand together. */
export function EarlierResults() {
  const list = earlier.value.slice(0, SHOWN);
  if (list.length === 0) return null;
  const names = chosen.value === 'idle-quality' ? figureNames(list) : [];
  return (
    <section class="panel" aria-labelledby="earlier-results">
      <h2 class="panel-name" id="earlier-results">
        Earlier results
      </h2>
      {names.length > 0 && (
        <p class="panel-note">
          The score is our own and has no standard behind it: it compares an engine with itself, before and
          after.
        </p>
      )}
      <WideTable name="Earlier results of this check">
        <table data-testid="earlier-results">
          <thead>
            <tr>
              <th scope="col">Made</th>
              <th scope="col">Verdict</th>
              {names.length === 0 && <th scope="col">What was found</th>}
              {names.map((name) => (
                <th key={name} scope="col">
                  {name}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {list.map((result) => (
              <tr key={result.id}>
                <th scope="row">
                  {startedWords(result.madeAtMs, Date.now())}
                  {result.practice && <span class="cell-more"> practice</span>}
                </th>
                <td>{CHECK_VERDICT_WORDS[result.verdict]}</td>
                {names.length === 0 && <td class="wrapping">{result.summary}</td>}
                {names.map((name) => (
                  <td key={name}>{figureOf(result, name)}</td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </WideTable>
    </section>
  );
}

function figureNames(list: readonly CheckResult[]): string[] {
  return [...new Set(list.flatMap(({ rows }) => rows[0]?.figures.map(({ name }) => name) ?? []))];
}

function figureOf(result: CheckResult, name: string): string {
  const figure = result.rows[0]?.figures.find((one) => one.name === name);
  return figure === undefined ? '–' : figureWords(figure);
}
