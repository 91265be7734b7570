import { CHECK_NAMES, CHECK_VERDICT_WORDS, LOOKED_FOR } from '../../contract/check-words.ts';
import type { CheckResult, CheckRow } from '../../contract/checks.ts';
import { type Html, html } from './html.ts';
import type { ReportNumbers } from './report-numbers.ts';

/** What the guided checks found, oldest first. */
export function guidedCheckSection(results: readonly CheckResult[], numbers: ReportNumbers): Html | null {
  if (results.length === 0) return null;
  const inOrder = [...results].sort((a, b) => a.madeAtMs - b.madeAtMs);
  return html`<h2>Guided checks</h2>${inOrder.map((result) => paragraph(result, numbers))}`;
}

function paragraph(result: CheckResult, numbers: ReportNumbers): Html {
  const { kind, practice, madeAtMs, verdict, summary } = result;
  const figures = figuresOf(result, numbers);
  return html`<p class="check">${CHECK_NAMES[kind]}${practice ? ' on the practice engine' : ''}, ${numbers.moment(madeAtMs)}.
<span class="verdict">${LOOKED_FOR[kind]}: ${CHECK_VERDICT_WORDS[verdict]}.</span> ${summary}
${figures === '' ? null : html`<span class="label">${figures}</span>`}</p>`;
}

/** A check with one part with all its figures, one with several with the figure that each part is judged by. */
function figuresOf({ kind, rows }: CheckResult, numbers: ReportNumbers): string {
  if (rows.length === 1) return all(rows[0]!, numbers);
  if (kind !== 'idle-quality') return side(rows, numbers);
  // The engine as a whole comes first; of its cylinders those that miss.
  const [engine, ...cylinders] = rows;
  return [engine!, ...cylinders.filter(({ verdict }) => verdict === 'found')]
    .map((row, index) => all(index === 0 ? row : { ...row, figures: row.figures.slice(0, 1) }, numbers))
    .join('; ');
}

function all({ name, figures }: CheckRow, numbers: ReportNumbers): string {
  return `${name}: ${figures.map((figure) => `${figure.name} ${numbers.figure(figure)}`).join(', ')}`;
}

/** Parts side by side under the name of their figure. */
function side(rows: readonly CheckRow[], numbers: ReportNumbers): string {
  const byName = new Map<string, string[]>();
  for (const { name, figures } of rows) {
    const [figure] = figures;
    if (figure === undefined) continue;
    byName.set(figure.name, [...(byName.get(figure.name) ?? []), `${name}: ${numbers.figure(figure)}`]);
  }
  return [...byName].map(([name, parts]) => `${name} (${parts.join(', ')})`).join('; ');
}
