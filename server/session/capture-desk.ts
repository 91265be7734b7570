import type { IdentityLine, SampleLine } from '../../firmware-protocol/lines.ts';
import type { ByteSource } from '../board/byte-source.ts';
import { sameBoard } from '../board/same-board.ts';
import type { Clock } from '../clock.ts';
import type { CaptureLabel, CaptureSummary } from '../contract/captures.ts';
import type { LiveMessage } from '../contract/live.ts';
import type { Setup } from '../contract/setup.ts';
import type { CaptureStore } from '../jobs/capture-store.ts';
import { Capture } from './capture.ts';
import type { Outcome } from './measuring-parts.ts';
import type { MeasuringPipeline } from './measuring-pipeline.ts';
import type { TakenSample } from './sample-intake.ts';

export interface CaptureDeskOptions {
  readonly clock: Clock;
  readonly store: CaptureStore;
  readonly softwareVersion: string;
  readonly publish: (message: LiveMessage) => void;
  readonly log: (text: string) => void;
  /** A capture could not be written, or, with `false`, one can again. */
  readonly onUnsaved: (unsaved: boolean) => void;
}

export interface CaptureWish {
  readonly label: CaptureLabel;
  readonly visitId: string | null;
  readonly pipeline: MeasuringPipeline;
  readonly setup: Setup;
  readonly source: ByteSource;
}

/** Starts and ends captures, one at a time, and sees to it that trouble with the disk never stops the measuring. */
export class CaptureDesk {
  readonly #options: CaptureDeskOptions;
  #capture: Capture | null = null;
  #identity: IdentityLine | null = null;

  constructor(options: CaptureDeskOptions) {
    this.#options = options;
  }

  get running(): {
    readonly id: string;
    readonly boardId: string;
    readonly practice: boolean;
  } | null {
    return this.#capture;
  }

  /** Of the running one's own figure, its largest difference or the vacuum of one cylinder; null while it has none. */
  get expandedKpa(): number | null {
    const figures = this.#capture?.figures();
    if (figures?.cylinders === undefined) return null;
    return figures.cylinders.length === 1
      ? figures.cylinders[0]!.vacuumExpandedKpa
      : figures.spreadExpandedKpa;
  }

  /**
   * Newest figures of the running one, the rest as stored. One that a full disk ended could not be marked as such: to the
   * store it still runs, until the next start.
   */
  list(): CaptureSummary[] {
    const running = this.#capture;
    return this.#options.store.list().map((summary) => {
      if (summary.id === running?.id) return running.summary();
      return summary.state === 'recording' ? { ...summary, state: 'interrupted' } : summary;
    });
  }

  start(wish: CaptureWish): Outcome<CaptureSummary> {
    if (this.#capture !== null) return { ok: false, code: 'capture-running' };
    const { pipeline, setup, source } = wish;
    try {
      this.#capture = new Capture({
        store: this.#options.store,
        label: wish.label,
        identity: pipeline.identity,
        scales: pipeline.scales,
        setup,
        practice: source.kind === 'practice',
        sourceAddress: source.address,
        startedAtMs: this.#options.clock.wallMs(),
        softwareVersion: this.#options.softwareVersion,
        visitId: wish.visitId,
        instrument: pipeline.newInstrument(setup),
      });
    } catch (error) {
      return this.#unsaved(error);
    }
    this.#identity = pipeline.identity;
    this.#options.onUnsaved(false);
    const summary = this.#capture.summary();
    this.#publish(summary);
    return { ok: true, value: summary };
  }

  stop(id: string): Outcome<CaptureSummary> {
    const capture = this.#capture;
    if (capture === null || capture.id !== id) {
      return {
        ok: false,
        code: this.#options.store.get(id) === null ? 'capture-not-found' : 'capture-not-running',
      };
    }
    this.#capture = null;
    try {
      const summary = capture.complete();
      this.#publish(summary);
      return { ok: true, value: summary };
    } catch (error) {
      this.#publish({ ...capture.summary(), state: 'interrupted' });
      return this.#unsaved(error);
    }
  }

  /** Ends the running capture without being asked to by the person. */
  interrupt(): void {
    const capture = this.#capture;
    if (capture === null) return;
    this.#capture = null;
    if (!this.#guard(() => this.#publish(capture.interrupt()))) {
      this.#publish({ ...capture.summary(), state: 'interrupted' });
    }
  }

  /** A capture goes on only with the board that it began with. */
  boardChangedTo(identity: IdentityLine): void {
    if (this.#capture !== null && !sameBoard(this.#identity, identity)) this.interrupt();
  }

  take(line: SampleLine, taken: TakenSample, absoluteKpa: ArrayLike<number>): void {
    const capture = this.#capture;
    if (capture === null) return;
    const saved = this.#guard(() => capture.take(line, taken.timeTicks, absoluteKpa, taken.missing));
    if (!saved) this.interrupt();
  }

  break(): void {
    const capture = this.#capture;
    if (capture === null) return;
    if (!this.#guard(() => capture.break())) this.interrupt();
  }

  publishRunning(): void {
    if (this.#capture !== null) this.#publish(this.#capture.summary());
  }

  #publish(capture: CaptureSummary): void {
    this.#options.publish({ type: 'event', event: 'capture', capture });
  }

  #guard(work: () => void): boolean {
    try {
      work();
      return true;
    } catch (error) {
      this.#unsaved(error);
      return false;
    }
  }

  #unsaved(error: unknown): Outcome<never> {
    const detail = error instanceof Error ? error.message : String(error);
    this.#options.log(`capture not saved: ${detail}`);
    this.#options.onUnsaved(true);
    return { ok: false, code: 'capture-not-saved' };
  }
}
