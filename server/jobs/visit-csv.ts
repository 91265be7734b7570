import { minorText } from '../contract/minor-units.ts';
import { VISIT_STATE_WORDS } from '../contract/visit-states.ts';
import { csvLine } from './csv-cell.ts';
import type { JobRecords } from './job-records.ts';
import { MAX_PAGE_ROWS } from './list-page.ts';
import { listVisits, type VisitQuestion } from './visit-list.ts';

const COLUMNS = [
  'day',
  'state',
  'owner',
  'machine',
  'plate',
  'frame_number',
  'technician',
  'complaint',
  'currency',
  'net',
  'tax',
  'total',
];

/** The list of jobs with their costs, for bookkeeping, page by page. */
export async function* visitCsv(records: JobRecords, question: VisitQuestion): AsyncGenerator<string> {
  for (let offset = 0; ; offset += MAX_PAGE_ROWS) {
    const { rows } = await listVisits(records.parts.db, { ...question, offset, limit: MAX_PAGE_ROWS });
    let text = offset === 0 ? csvLine(COLUMNS) : '';
    for (const row of rows) {
      const job = await records.job(row.id);
      if (job === null) continue;
      const { currency, netMinor, taxMinor, grossMinor } = job.costs;
      const money = (minor: number) => minorText(minor, currency);
      text += csvLine([
        row.day,
        VISIT_STATE_WORDS[row.state],
        row.owner,
        row.machine,
        row.plate,
        row.frameNumber,
        row.technician,
        row.complaint,
        currency,
        money(netMinor),
        money(taxMinor),
        money(grossMinor),
      ]);
    }
    if (text !== '') yield text;
    if (rows.length < MAX_PAGE_ROWS) return;
  }
}
