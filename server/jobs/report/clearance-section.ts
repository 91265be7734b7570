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

type Cell = `${ClearanceBody['side']} ${ClearanceBody['when']}`;
const CELLS: readonly Cell[] = ['intake found', 'intake left', 'exhaust found', 'exhaust left'];

/** One line per cylinder and place along it, each side as found and as left. */
export function clearanceSection({ entries, machine, clearances }: Job): Html | null {
  const rows = new Map<number, { title: string; cells: Partial<Record<Cell, string>> }>();
  for (const { id, body } of entries) {
    if (body.kind !== 'clearance') continue;
    const title = body.valve === 1 ? `${body.cylinder}` : `${body.cylinder}, valve ${body.valve}`;
    const row = rows.get(body.cylinder * 10 + body.valve) ?? { title, cells: {} };
    row.cells[`${body.side} ${body.when}`] = `${readingText(body)}: ${VERDICT_WORDS[clearances[id]!]}`;
    rows.set(body.cylinder * 10 + body.valve, row);
  }
  if (rows.size === 0) return null;
  const { intakeClearance, exhaustClearance } = machine.service;
  const sorted = [...rows.entries()].sort(([a], [b]) => a - b).map(([, row]) => row);
  return html`<h2>Valve clearances, engine cold</h2>
<p>Specification: intake ${specificationText(intakeClearance)}; exhaust ${specificationText(exhaustClearance)}.</p>
<table><tr><th>Cylinder</th>${CELLS.map((cell) => html`<th>${cell[0]!.toUpperCase()}${cell.slice(1)}</th>`)}</tr>
${sorted.map(({ title, cells }) => html`<tr><td>${title}</td>${CELLS.map((cell) => html`<td>${cells[cell] ?? ''}</td>`)}</tr>`)}</table>`;
}

function readingText({ reading }: ClearanceBody): string {
  if (reading.how === 'measured') return `${reading.value} ${reading.unit}`;
  const goes = reading.goes === null ? '' : `${reading.goes} goes`;
  const stops = reading.stops === null ? '' : `${reading.stops} does not`;
  return `${[goes, stops].filter((part) => part !== '').join(', ')}, ${reading.unit}`;
}

function specificationText(figure: ClearanceFigure | null): string {
  if (figure === null) return 'not looked up';
  return `${figure.low}–${figure.high} ${figure.unit}${figure.source === '' ? '' : ` (${figure.source})`}`;
}
