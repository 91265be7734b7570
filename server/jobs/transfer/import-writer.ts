import type { CheckResult } from '../../contract/checks.ts';
import type { Machine, Owner, Visit } from '../../contract/jobs.ts';
import type { Entry } from '../../contract/jobs-entries.ts';
import type { ImportReport } from '../../contract/jobs-views.ts';
import type { EnteredSensor } from '../calibration-store.ts';
import type { CaptureFigures } from '../capture-store.ts';
import type { Store } from '../open-store.ts';
import {
  entryFromRow,
  entryToRow,
  machineFromRow,
  machineToRow,
  ownerFromRow,
  ownerToRow,
  visitFromRow,
  visitToRow,
} from '../record-rows.ts';
import { encodeSampleChunk } from '../sample-chunk-codec.ts';
import { SearchWriter } from '../search-writer.ts';
import type { WriteStep } from '../write-together.ts';
import type { ExportRecord } from './export-format.ts';
import { importedCalibration } from './imported-calibration.ts';
import { sameContent } from './same-content.ts';
import { samplesFromCsv } from './samples-csv.ts';

/** Jobs written in one go: large enough to be quick, small enough that live measuring does not notice. */
const JOBS_PER_WRITE = 20;

interface GatheredJob {
  readonly visit: Visit;
  readonly entries: Entry[];
}

interface GatheredCapture {
  readonly record: Extract<ExportRecord, { kind: 'capture' }>;
  readonly chunks: {
    readonly chunkNo: number;
    readonly bytes: Uint8Array;
    readonly ticks: readonly number[];
  }[];
}

/** Writes checked records in their order. */
export class ImportWriter {
  readonly report: ImportReport = { added: 0, unchanged: 0, kept: [], photos: 0, captures: 0 };
  readonly #store: Store;
  readonly #search: SearchWriter;
  #jobs: GatheredJob[] = [];
  #capture: GatheredCapture | null = null;

  constructor(store: Store) {
    this.#store = store;
    this.#search = new SearchWriter(store.records.parts.db);
  }

  async take(record: ExportRecord): Promise<void> {
    if (record.kind !== 'samples') await this.#writeCapture();
    switch (record.kind) {
      case 'shop':
        return this.#shop(record);
      case 'owner':
        return this.#owner(record.owner);
      case 'machine':
        return this.#machine(record.machine);
      case 'photo':
        return this.#photo(record);
      case 'visit':
        if (this.#jobs.length >= JOBS_PER_WRITE) await this.#writeJobs();
        this.#jobs.push({ visit: record.visit, entries: [] });
        return;
      case 'entry':
        this.#jobs.at(-1)!.entries.push(record.entry);
        return;
      case 'capture':
        await this.#writeJobs();
        this.#capture = { record, chunks: [] };
        return;
      case 'samples':
        this.#samples(record);
        return;
      case 'check':
        await this.#writeJobs();
        return this.#check(record.result);
      case 'calibration':
        return this.#calibration(record);
      case 'sensors':
        return this.#sensors(record);
      case 'end':
    }
  }

  async finish(): Promise<void> {
    await this.#writeCapture();
    await this.#writeJobs();
  }

  async #shop({ shop }: Extract<ExportRecord, { kind: 'shop' }>): Promise<void> {
    const { records } = this.#store;
    const stored = await records.shop.get();
    const { revision: _theirs, ...fields } = shop;
    // Where backups go is a matter of each computer.
    const settings = { ...fields, backup: stored.backup };
    if (stored.revision > 0) {
      const { revision: _ours, ...ours } = stored;
      return this.#there('shop', 'shop', sameContent(ours, settings));
    }
    await records.shop.change(0, settings);
    this.report.added++;
  }

  #owner(owner: Owner): Promise<void> {
    const { write, db, queue } = this.#store.records.parts;
    return queue.run(async () => {
      const stored = await this.#store.records.owners.get(owner.id);
      if (stored !== null) return this.#there('owner', owner.id, sameContent(stored, owner));
      const clean = ownerFromRow(ownerToRow(owner));
      await write([
        { query: db.insertInto('owners').values(ownerToRow(clean)) },
        ...(await this.#search.afterOwner(clean)),
      ]);
      this.report.added++;
    });
  }

  #machine(machine: Machine): Promise<void> {
    const { write, db, queue } = this.#store.records.parts;
    return queue.run(async () => {
      const stored = await this.#store.records.machines.get(machine.id);
      if (stored !== null) return this.#there('machine', machine.id, sameContent(stored, machine));
      const clean = machineFromRow(machineToRow(machine));
      await write([
        { query: db.insertInto('machines').values(machineToRow(clean)) },
        ...(await this.#search.afterMachine(clean)),
      ]);
      this.report.added++;
    });
  }

  async #photo({ photo, base64 }: Extract<ExportRecord, { kind: 'photo' }>): Promise<void> {
    const { photos } = this.#store.records;
    if ((await photos.get(photo.id)) !== null && (await photos.bytes(photo.id)) !== null) {
      this.report.unchanged++;
      return;
    }
    await photos.keep(Buffer.from(base64, 'base64'));
    this.report.photos++;
  }

  #writeJobs(): Promise<void> {
    const jobs = this.#jobs;
    this.#jobs = [];
    if (jobs.length === 0) return Promise.resolve();
    const { write, queue } = this.#store.records.parts;
    return queue.run(async () => {
      const steps: WriteStep[] = [];
      for (const job of jobs) steps.push(...(await this.#jobSteps(job)));
      await write(steps);
    });
  }

  async #jobSteps({ visit, entries }: GatheredJob): Promise<WriteStep[]> {
    const { records } = this.#store;
    const { db } = records.parts;
    const steps: WriteStep[] = [];
    const stored = await records.visits.get(visit.id);
    if (stored !== null) {
      this.#there('visit', visit.id, sameContent(stored, visit));
    } else {
      const clean = visitFromRow(visitToRow(visit));
      steps.push({ query: db.insertInto('visits').values(visitToRow(clean)) });
      this.report.added++;
    }
    const known = stored === null ? [] : await records.entries.ofVisit(visit.id);
    const added: Entry[] = [];
    for (const entry of entries) {
      const same = known.find((other) => other.id === entry.id);
      if (same !== undefined) {
        this.#there('entry', entry.id, sameContent(same, entry));
        continue;
      }
      const clean = entryFromRow(entryToRow(entry));
      steps.push({ query: db.insertInto('entries').values(entryToRow(clean)) });
      added.push(clean);
      this.report.added++;
    }
    if (steps.length > 0) {
      steps.push(...(await this.#search.afterVisit(stored ?? visit, [...known, ...added])));
    }
    return steps;
  }

  async #check(result: CheckResult): Promise<void> {
    const { checks } = this.#store.records;
    const stored = await checks.get(result.id);
    if (stored !== null) return this.#there('check', result.id, sameContent(stored, result));
    await checks.put(result);
    this.report.added++;
  }

  async #calibration(record: Extract<ExportRecord, { kind: 'calibration' }>): Promise<void> {
    const { calibrations, records } = this.#store;
    const { chunks, ...calibration } = importedCalibration(record);
    const stored = calibrations.get(record.id);
    if (stored !== null) return this.#there('calibration', record.id, sameContent(stored, calibration));
    calibrations.putImported({ ...calibration, chunks }, records.parts.wallMs());
    this.report.added++;
  }

  async #sensors({
    boardId,
    enteredAtMs,
    sensors,
  }: Extract<ExportRecord, { kind: 'sensors' }>): Promise<void> {
    const { calibrations } = this.#store;
    const stored = calibrations.sensors(boardId);
    if (stored.length > 0) return this.#there('sensors', boardId, sameContent(stored, sensors));
    calibrations.setSensors(boardId, sensors as readonly EnteredSensor[], enteredAtMs);
    this.report.added++;
  }

  #samples({ firstChunk, chunksCsv }: Extract<ExportRecord, { kind: 'samples' }>): void {
    for (const [index, csv] of chunksCsv.entries()) {
      const chunk = csv === null ? null : samplesFromCsv(csv);
      if (chunk === null || chunk.timeTicks.length === 0) continue;
      const bytes = encodeSampleChunk(chunk);
      this.#capture!.chunks.push({ chunkNo: firstChunk + index, bytes, ticks: chunk.timeTicks });
    }
  }

  async #writeCapture(): Promise<void> {
    const capture = this.#capture;
    this.#capture = null;
    if (capture === null) return;
    const { id, header, state, figures } = capture.record;
    const { captures } = this.#store.records;
    const stored = await captures.header(id);
    if (stored !== null) {
      this.#there('capture', id, sameContent(stored, header));
      return;
    }
    await captures.insertWhole({
      id,
      header,
      state,
      figures: withoutUndefined(figures),
      chunks: capture.chunks,
    });
    this.report.captures++;
  }

  #there(kind: string, id: string, same: boolean): void {
    if (same) this.report.unchanged++;
    else this.report.kept.push({ kind, id });
  }
}

type ImportedFigures = Extract<ExportRecord, { kind: 'capture' }>['figures'];

function withoutUndefined(figures: ImportedFigures): CaptureFigures | null {
  if (figures === null) return null;
  const { cylinders, ...others } = figures;
  return cylinders === undefined ? others : { ...others, cylinders };
}
