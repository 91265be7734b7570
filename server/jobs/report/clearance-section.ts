import type { ClearanceBody } from '../../contract/jobs-entries.ts';
import type { ClearanceFigure } from '../../contract/jobs-values.ts';
import type { ClearanceVerdict, Job } from '../../contract/jobs-views.ts';
import { type Html, html } from './html.ts';

const VERDICT_WORDS: Readonly<Record<ClearanceVerdict, string>> = {
  in: 'in',
  tight: 'tight',
  loose: 'loose',
  straddling: 'cannot be told',
  'no-specification': 'no specification',
  impossible: 'impossible reading',
};

interface ValveRow {
  readonly valve: ClearanceBody;
  found: string;
  left: string;
}

/** One line per valve, as found and as left. */
export function clearanceSection({ entries, machine, clearances }: Job): Html | null {
  const rows = new Map<string, ValveRow>();
  for (const { id, body } of entries) {
    if (body.kind !== 'clearance') continue;
    const key = `${body.cylinder}/${body.side === 'intake' ? 0 : 1}/${body.valve}`;
    const row = rows.get(key) ?? { valve: body, found: '', left: '' };
    row[body.when] = `${readingText(body)}: ${VERDICT_WORDS[clearances[id] ?? 'no-specification']}`;
    rows.set(key, row);
  }
  if (rows.size === 0) return null;
  const { intakeClearance, exhaustClearance } = machine.service;
  const sorted = [...rows.entries()].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, row]) => row);
  return html`<h2>Valve clearances, engine cold</h2>
<p>Specification: intake ${specificationText(intakeClearance)}; exhaust ${specificationText(exhaustClearance)}.</p>
<table><tr><th>Cylinder</th><th>Valve</th><th>Found</th><th>Left</th></tr>
${sorted.map(
  ({ valve, found, left }) =>
    html`<tr><td>${valve.cylinder}</td><td>${valve.side} ${valve.valve}</td><td>${found}</td><td>${left}</td></tr>`,
)}</table>`;
}

function readingText({ reading }: ClearanceBody): string {
  if (reading.how === 'measured') return `${reading.value} ${reading.unit}`;
  const goes = reading.goes === null ? '' : `${reading.goes} goes`;
  const stops = reading.stops === null ? '' : `${reading.stops} does not`;
  return `${[goes, stops].filter((part) => part !== '').join(', ')} (${reading.unit})`;
}

function specificationText(figure: ClearanceFigure | null): string {
  if (figure === null) return 'not looked up';
  return `${figure.low}–${figure.high} ${figure.unit}${figure.source === '' ? '' : ` (${figure.source})`}`;
}
