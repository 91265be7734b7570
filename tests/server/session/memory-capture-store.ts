import type { CaptureSummary } from '../../../server/contract/captures.ts';
import type {
  CaptureFigures,
  CaptureHeader,
  CaptureStore,
  SampleChunk,
} from '../../../server/jobs/capture-store.ts';

interface Kept {
  header: CaptureHeader;
  chunks: SampleChunk[];
  state: CaptureSummary['state'];
  figures: CaptureFigures | null;
}

/** A capture store that keeps everything in memory, writes down its calls and can be told to fail. */
export class MemoryCaptureStore implements CaptureStore {
  readonly kept = new Map<string, Kept>();
  failWith: Error | null = null;

  begin(header: CaptureHeader): string {
    this.#fail();
    const id = `capture-${this.kept.size + 1}`;
    this.kept.set(id, { header, chunks: [], state: 'recording', figures: null });
    return id;
  }

  append(captureId: string, chunk: SampleChunk): void {
    this.#fail();
    this.#of(captureId).chunks.push(structuredClone(chunk));
  }

  complete(captureId: string, figures: CaptureFigures): CaptureSummary {
    this.#fail();
    Object.assign(this.#of(captureId), { state: 'complete', figures });
    return this.get(captureId)!;
  }

  interrupt(captureId: string, figures: CaptureFigures | null): CaptureSummary {
    this.#fail();
    Object.assign(this.#of(captureId), { state: 'interrupted', figures });
    return this.get(captureId)!;
  }

  list(): CaptureSummary[] {
    return [...this.kept.keys()].map((id) => this.get(id)!).reverse();
  }

  get(captureId: string): CaptureSummary | null {
    const kept = this.kept.get(captureId);
    if (kept === undefined) return null;
    const ticks = kept.chunks.flatMap((chunk) => chunk.timeTicks);
    const { header, figures } = kept;
    return {
      id: captureId,
      label: header.label,
      state: kept.state,
      practice: header.practice,
      sourceAddress: header.sourceAddress,
      startedAtMs: header.startedAtMs,
      durationS: ticks.length === 0 ? 0 : (ticks.at(-1)! - ticks[0]!) / header.clockRateHz,
      samples: ticks.length,
      cylinders: header.sensorTypes.length,
      spreadKpa: figures?.spreadKpa ?? null,
      spreadExpandedKpa: figures?.spreadExpandedKpa ?? null,
      gapsKpa: [...(figures?.gapsKpa ?? [])],
      idleRpm: figures?.idleRpm ?? null,
      roughnessScore: figures?.roughnessScore ?? null,
      softwareVersion: header.softwareVersion,
    };
  }

  header(captureId: string): CaptureHeader | null {
    return this.kept.get(captureId)?.header ?? null;
  }

  chunks(captureId: string): Iterable<SampleChunk> {
    return this.kept.get(captureId)?.chunks ?? [];
  }

  #of(captureId: string): Kept {
    const kept = this.kept.get(captureId);
    if (kept === undefined) throw new RangeError(`no capture ${captureId}`);
    return kept;
  }

  #fail(): void {
    if (this.failWith !== null) throw this.failWith;
  }
}
