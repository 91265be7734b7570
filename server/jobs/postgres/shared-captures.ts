import type { CaptureSummary } from '../../contract/captures.ts';
import type { CaptureRecords, WholeCapture } from '../capture-records.ts';
import type { CaptureFigures, CaptureHeader, DamagedChunk, SampleChunk } from '../capture-store.ts';
import type { JobCaptures } from '../job-captures.ts';
import type { BenchDelivery } from './bench-delivery.ts';
import type { RecordCaptures } from './record-captures.ts';

export interface SharedCapturesParts {
  readonly record: RecordCaptures;
  readonly bench: CaptureRecords;
  readonly delivery: BenchDelivery;
}

/** Those of all benches, and those of this bench that are not in the shared record yet. */
export class SharedCaptures implements JobCaptures {
  readonly #record: RecordCaptures;
  readonly #bench: CaptureRecords;
  readonly #delivery: BenchDelivery;

  constructor({ record, bench, delivery }: SharedCapturesParts) {
    this.#record = record;
    this.#bench = bench;
    this.#delivery = delivery;
  }

  async listForVisit(visitId: string): Promise<CaptureSummary[]> {
    const shared = await this.#record.listForVisit(visitId);
    const here: CaptureSummary[] = [];
    for (const capture of this.#bench.listForVisit(visitId)) {
      // What is shared may have been taken off the job, or hung on another, since.
      if ((await this.#record.get(capture.id)) === null) here.push(capture);
    }
    return [...shared, ...here].sort((a, b) => a.startedAtMs - b.startedAtMs);
  }

  async get(id: string): Promise<CaptureSummary | null> {
    return (await this.#record.get(id)) ?? this.#bench.get(id);
  }

  async header(id: string): Promise<CaptureHeader | null> {
    return (await this.#record.header(id)) ?? this.#bench.header(id);
  }

  async figures(id: string): Promise<CaptureFigures | null> {
    return (await this.#record.figures(id)) ?? this.#bench.figures(id);
  }

  chunks(
    id: string,
    onDamaged?: (damage: DamagedChunk) => void,
  ): Iterable<SampleChunk> | AsyncIterable<SampleChunk> {
    return this.#bench.get(id) === null
      ? this.#record.chunks(id, onDamaged)
      : this.#bench.chunks(id, onDamaged);
  }

  /** A running capture keeps its job until it ends and is delivered with it. */
  async setVisit(id: string, visitId: string | null): Promise<CaptureSummary | null> {
    const here = this.#bench.get(id);
    if (here?.state === 'recording') return this.#bench.setVisit(id, visitId);
    if (here !== null && (await this.#record.get(id)) === null) await this.#delivery.deliver(id);
    const changed = await this.#record.setVisit(id, visitId);
    if (here !== null) this.#bench.setVisit(id, visitId);
    return changed;
  }

  insertWhole(capture: WholeCapture): Promise<void> {
    return this.#record.insertWhole(capture);
  }
}
