import type { CheckResult } from '../../contract/checks.ts';
import type { Machine, Visit } from '../../contract/jobs.ts';
import type { CalibrationRecords } from '../calibration-records.ts';
import type { SampleChunk } from '../capture-store.ts';
import type { JobCaptures } from '../job-captures.ts';
import { RecordChecks } from '../job-checks.ts';
import type { JobRecords } from '../job-records.ts';
import { machineFromRow, ownerFromRow, visitFromRow } from '../record-rows.ts';
import type { Tables } from '../tables.ts';
import { calibrationsAndSensors } from './export-calibrations.ts';
import { EXPORT_FORMAT, EXPORT_VERSION, type ExportRecord } from './export-format.ts';
import { plainJson } from './plain-json.ts';
import type { RecordMoment } from './record-moment.ts';
import { samplesToCsv } from './samples-csv.ts';

export interface ExportWish {
  /** One job with its machine and owner, or everything with the shop's settings. */
  readonly visitId: string | null;
  readonly exportedAtMs: number;
  readonly softwareVersion: string;
}

const ROWS_PER_READ = 200;
const CHUNKS_PER_RECORD = 120;

/**
 * The document piece by piece, one record a line. It shows one moment: what is written meanwhile is left out, and nothing
 * has to wait for it.
 */
export async function* exportDocument(
  openMoment: () => Promise<RecordMoment>,
  wish: ExportWish,
): AsyncGenerator<string> {
  const { records, calibrations, close } = await openMoment();
  try {
    const { exportedAtMs, softwareVersion } = wish;
    const head = { format: EXPORT_FORMAT, version: EXPORT_VERSION, exportedAtMs, softwareVersion };
    yield `${JSON.stringify(head).slice(0, -1)},"records":[\n`;
    let count = 0;
    for await (const record of exported(records, calibrations, wish.visitId)) {
      count++;
      yield `${JSON.stringify(record)},\n`;
    }
    yield `${JSON.stringify({ kind: 'end', records: count } satisfies ExportRecord)}\n]}\n`;
  } finally {
    await close();
  }
}

async function* exported(
  records: JobRecords,
  calibrations: CalibrationRecords | null,
  visitId: string | null,
): AsyncGenerator<ExportRecord> {
  const { captures } = records;
  if (visitId !== null) {
    const job = await records.job(visitId);
    if (job === null) return;
    const machineOwner = await ownerOf(records, job.machine);
    for (const owner of new Map(
      [job.owner, machineOwner].flatMap((o) => (o === null ? [] : [[o.id, o]])),
    ).values()) {
      yield { kind: 'owner', owner };
    }
    yield { kind: 'machine', machine: job.machine };
    const photoIds = job.entries.flatMap(({ body }) => (body.kind === 'finding' ? body.photoIds : []));
    for (const id of new Set(photoIds)) yield* photo(records, id);
    yield* visitAndEntries(records, job.visit);
    for (const result of (await records.checks.listForVisit(visitId)).reverse()) yield check(result);
    for (const { id } of job.captures) yield* capture(captures, id);
    return;
  }
  const shop = await records.shop.get();
  if (shop.revision > 0) yield { kind: 'shop', shop };
  for await (const row of allRows(records, 'owners')) yield { kind: 'owner', owner: ownerFromRow(row) };
  for await (const row of allRows(records, 'machines'))
    yield { kind: 'machine', machine: machineFromRow(row) };
  for await (const row of allRows(records, 'photos')) yield* photo(records, row.id);
  for await (const row of allRows(records, 'visits')) yield* visitAndEntries(records, visitFromRow(row));
  for await (const result of new RecordChecks(records.parts).all()) yield check(result);
  if (calibrations !== null) yield* calibrationsAndSensors(calibrations);
  for await (const id of allCaptureIds(records)) yield* capture(captures, id);
}

const ownerOf = (records: JobRecords, { ownerId }: Machine) =>
  ownerId === null ? null : records.owners.get(ownerId);

async function* visitAndEntries(records: JobRecords, visit: Visit): AsyncGenerator<ExportRecord> {
  yield { kind: 'visit', visit };
  for (const entry of await records.entries.ofVisit(visit.id)) yield { kind: 'entry', entry };
}

const check = (result: CheckResult): ExportRecord => ({
  kind: 'check',
  id: result.id,
  visitId: result.visitId,
  result,
});

/** A photo whose file is gone is left out: `verify` tells of it. */
async function* photo(records: JobRecords, id: string): AsyncGenerator<ExportRecord> {
  const found = await records.photos.get(id);
  const bytes = found === null ? null : await records.photos.bytes(id);
  if (found !== null && bytes !== null)
    yield { kind: 'photo', photo: found, base64: bytes.toString('base64') };
}

async function* capture(captures: JobCaptures, id: string): AsyncGenerator<ExportRecord> {
  const header = await captures.header(id);
  const summary = await captures.get(id);
  if (header === null || summary === null) return;
  const state = summary.state === 'complete' ? 'complete' : 'interrupted';
  yield {
    kind: 'capture',
    id,
    state,
    header: plainJson(header),
    figures: plainJson(await captures.figures(id)),
  };
  let firstChunk = 0;
  let chunksCsv: (string | null)[] = [];
  for await (const chunk of chunksOrNull(captures, id)) {
    chunksCsv.push(chunk === null ? null : samplesToCsv(chunk));
    if (chunksCsv.length < CHUNKS_PER_RECORD) continue;
    yield { kind: 'samples', captureId: id, firstChunk, chunksCsv };
    firstChunk += chunksCsv.length;
    chunksCsv = [];
  }
  if (chunksCsv.length > 0) yield { kind: 'samples', captureId: id, firstChunk, chunksCsv };
}

/** In order, null in the place of a damaged one. */
async function* chunksOrNull(captures: JobCaptures, id: string): AsyncGenerator<SampleChunk | null> {
  let damaged = 0;
  for await (const chunk of captures.chunks(id, () => damaged++)) {
    for (; damaged > 0; damaged--) yield null;
    yield chunk;
  }
  for (; damaged > 0; damaged--) yield null;
}

type PagedTable = 'owners' | 'machines' | 'photos' | 'visits';

/** Page by page in the order of their ids, so that memory does not grow with the shop. */
async function* allRows<T extends PagedTable>(records: JobRecords, table: T): AsyncGenerator<SelectedRow<T>> {
  const { db } = records.parts;
  let after = '';
  for (;;) {
    const rows = (await db
      .selectFrom(table as PagedTable)
      .selectAll()
      .where('id', '>', after)
      .orderBy('id')
      .limit(ROWS_PER_READ)
      .execute()) as unknown as SelectedRow<T>[];
    yield* rows;
    const last = rows.at(-1);
    if (last === undefined || rows.length < ROWS_PER_READ) return;
    after = last.id;
  }
}

type SelectedRow<T extends PagedTable> = Tables[T];

/** In the order they were begun, which lists keep for two of the same moment. */
async function* allCaptureIds({ parts: { db } }: JobRecords): AsyncGenerator<string> {
  let after = 0;
  for (;;) {
    const rows = await db
      .selectFrom('captures')
      .select(['capture_no', 'id'])
      .where('capture_no', '>', after)
      .orderBy('capture_no')
      .limit(ROWS_PER_READ)
      .execute();
    for (const { id } of rows) yield id;
    const last = rows.at(-1);
    if (last === undefined || rows.length < ROWS_PER_READ) return;
    after = last.capture_no;
  }
}
