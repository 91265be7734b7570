import { toKpa } from '../../../calibration/pressure-units.ts';
import type { PressureFigure } from '../../contract/jobs-values.ts';
import type { FigureComparison, Job } from '../../contract/jobs-views.ts';
import type { VisitComparison } from '../visit-comparison.ts';
import { type Html, html } from './html.ts';
import { railPicture } from './rail-picture.ts';
import type { ReportNumbers } from './report-numbers.ts';

const VERDICT_WORDS: Readonly<Record<FigureComparison['verdict'], string>> = {
  smaller: 'smaller',
  larger: 'larger',
  'no-difference-shown': 'no difference shown',
  'within-scatter': 'within the engine’s own scatter',
  'not-measured': 'not measured',
};

/** Before and after: the picture, then every figure with its uncertainty. */
export function balanceSection(
  job: Job,
  comparison: VisitComparison | null,
  numbers: ReportNumbers,
): Html | null {
  const permitted = job.machine.service.vacuumDifference;
  const limit =
    permitted === null
      ? null
      : html`<p>Permitted difference: ${permitted.value} ${permitted.unit}${permitted.source === '' ? '' : ` (${permitted.source})`}${comparison === null ? '' : `: ${limitWords(permitted, comparison)}`}.</p>`;
  if (comparison === null) {
    return job.captures.length === 0 && limit === null
      ? null
      : html`<h2>Carburettor balance</h2>${limit}<p>No pair of captures before and after the work.</p>`;
  }
  const { before, after, beforeFigures, afterFigures } = comparison;
  return html`<h2>Carburettor balance at idle: vacuum in ${numbers.unit}</h2>
<p class="result">${resultSentence(comparison, numbers)}</p>
${railPicture(comparison, numbers)}
<table>
<tr><th>Cylinder</th><th class="n">Before</th><th class="n">After</th><th class="n">Difference</th><th></th></tr>
${comparison.cylinders.map(
  (cylinder, index) =>
    html`<tr><td>${index + 1}</td>
<td class="n">${numbers.uncertain(cylinder.before, beforeFigures.cylinders?.[index]?.vacuumExpandedKpa ?? null)}</td>
<td class="n">${numbers.uncertain(cylinder.after, afterFigures.cylinders?.[index]?.vacuumExpandedKpa ?? null)}</td>
<td class="n">${numbers.difference(cylinder.difference, cylinder.differenceExpanded)}</td><td>${VERDICT_WORDS[cylinder.verdict]}</td></tr>`,
)}
<tr><td>Largest difference</td>
<td class="n">${numbers.uncertain(beforeFigures.spreadKpa, beforeFigures.spreadExpandedKpa)}</td>
<td class="n">${numbers.uncertain(afterFigures.spreadKpa, afterFigures.spreadExpandedKpa)}</td>
<td class="n">${numbers.difference(comparison.spread.difference, comparison.spread.differenceExpanded)}</td><td>${VERDICT_WORDS[comparison.spread.verdict]}</td></tr>
<tr><td>Idle speed, r/min</td><td class="n">${numbers.whole(before.idleRpm)}</td><td class="n">${numbers.whole(after.idleRpm)}</td><td></td><td></td></tr>
<tr><td>Idle roughness, own score, 0 smooth to 100 rough</td><td class="n">${numbers.whole(before.roughnessScore)}</td><td class="n">${numbers.whole(after.roughnessScore)}</td><td></td><td></td></tr>
</table>
${limit}
<p class="label">Captures ${numbers.moment(before.startedAtMs)} (${duration(before.durationS)}) and ${numbers.moment(after.startedAtMs)} (${duration(after.durationS)}).</p>`;
}

/** Inside or outside only where the whole interval is. */
function limitWords({ value, unit }: PressureFigure, { afterFigures }: VisitComparison): string {
  const { spreadKpa, spreadExpandedKpa } = afterFigures;
  if (spreadKpa === null || spreadExpandedKpa === null) return 'not measured after the work';
  const limitKpa = toKpa(Number(value.replace(',', '.')), unit);
  if (spreadKpa + spreadExpandedKpa <= limitKpa) return 'inside it after the work';
  if (spreadKpa - spreadExpandedKpa > limitKpa) return 'outside it after the work';
  return 'too close to it after the work to be told apart';
}

/** The verdict on the spread in one line for the owner. */
function resultSentence(
  { spread, beforeFigures, afterFigures }: VisitComparison,
  numbers: ReportNumbers,
): string {
  const from = numbers.pressure(spread.before, beforeFigures.spreadExpandedKpa);
  const to = numbers.pressure(spread.after, afterFigures.spreadExpandedKpa);
  const change = `from ${from} to ${to} ${numbers.unit}`;
  switch (spread.verdict) {
    case 'smaller':
      return `The difference between the cylinders went down ${change}.`;
    case 'larger':
      return `The difference between the cylinders went up ${change}.`;
    case 'no-difference-shown':
      return `The difference between the cylinders is the same within what can be measured (${change}).`;
    case 'within-scatter':
      return `The difference between the cylinders changed ${change}, less than the engine varies by itself from cycle to cycle.`;
    case 'not-measured':
      return 'The difference between the cylinders was not measured both before and after.';
  }
}

const duration = (seconds: number): string => `${seconds.toFixed(0)} s`;
