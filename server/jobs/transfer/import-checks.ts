import { createHash } from 'node:crypto';
import type { Store } from '../open-store.ts';
import { MAX_PHOTO_BYTES } from '../photo-store.ts';
import { photoType } from '../photo-type.ts';
import type { ExportRecord } from './export-format.ts';
import { importedCalibration } from './imported-calibration.ts';
import { importedSamples } from './imported-samples.ts';
import { DocumentProblem } from './read-document.ts';

/** Whether the records of a document fit together and with what is stored. Reads only. */
export class ImportChecks {
  readonly #store: Store;
  readonly #seen = new Set<string>();
  #visitId: string | null = null;
  #captureId: string | null = null;
  #nextChunk = 0;

  constructor(store: Store) {
    this.#store = store;
  }

  /** @throws DocumentProblem */
  async check(record: ExportRecord): Promise<void> {
    if (record.kind !== 'entry') this.#visitId = null;
    if (record.kind !== 'samples') this.#captureId = null;
    switch (record.kind) {
      case 'owner':
        return this.#once(record.owner.id);
      case 'machine':
        this.#once(record.machine.id);
        return this.#owner(record.machine.ownerId);
      case 'photo':
        return this.#photo(record);
      case 'visit':
        this.#once(record.visit.id);
        this.#visitId = record.visit.id;
        await this.#owner(record.visit.ownerId);
        return this.#machine(record.visit.machineId);
      case 'entry':
        this.#once(record.entry.id);
        if (record.entry.visitId !== this.#visitId) throw problem('an entry does not follow its visit');
        return this.#foreignEntry(record.entry.id, record.entry.visitId);
      case 'capture':
        this.#once(record.id);
        this.#captureId = record.id;
        this.#nextChunk = 0;
        return this.#visit(record.header.visitId);
      case 'samples':
        return this.#samples(record);
      case 'check':
        this.#once(record.id);
        if (record.result.id !== record.id || record.result.visitId !== record.visitId)
          throw problem(`the check ${record.id} has two names`);
        return this.#visit(record.visitId);
      case 'calibration':
        this.#once(record.id);
        importedCalibration(record);
        return;
      case 'sensors':
        return this.#once(`the sensors of ${record.boardId}`);
      default:
    }
  }

  #once(id: string): void {
    if (this.#seen.has(id)) throw problem(`${id} is there twice`);
    this.#seen.add(id);
  }

  async #owner(id: string | null): Promise<void> {
    if (id === null || this.#seen.has(id)) return;
    if ((await this.#store.records.owners.get(id)) === null) throw problem(`the owner ${id} is missing`);
  }

  async #machine(id: string): Promise<void> {
    if (this.#seen.has(id)) return;
    if ((await this.#store.records.machines.get(id)) === null) throw problem(`the machine ${id} is missing`);
  }

  async #visit(id: string | null): Promise<void> {
    if (id === null || this.#seen.has(id)) return;
    if ((await this.#store.records.visits.get(id)) === null) throw problem(`the visit ${id} is missing`);
  }

  async #foreignEntry(id: string, visitId: string): Promise<void> {
    const stored = await this.#store.records.entries.get(id);
    if (stored !== null && stored.visitId !== visitId)
      throw problem(`the entry ${id} belongs to another visit`);
  }

  #photo({ photo, base64 }: Extract<ExportRecord, { kind: 'photo' }>): void {
    const bytes = Buffer.from(base64, 'base64');
    const hash = createHash('sha256').update(bytes).digest('hex');
    const fits = bytes.length === photo.bytes && bytes.length <= MAX_PHOTO_BYTES && hash === photo.id;
    if (!fits || photoType(bytes) !== photo.type) throw problem(`the photo ${photo.id} is damaged`);
  }

  #samples({ captureId, firstChunk, chunksCsv }: Extract<ExportRecord, { kind: 'samples' }>): void {
    if (captureId !== this.#captureId || firstChunk !== this.#nextChunk) {
      throw problem('samples do not follow their capture');
    }
    this.#nextChunk += chunksCsv.length;
    for (const csv of chunksCsv) if (csv !== null) importedSamples(csv, captureId);
  }
}

const problem = (detail: string) => new DocumentProblem('import-unreadable', detail);
