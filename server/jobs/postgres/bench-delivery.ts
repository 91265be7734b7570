import type { Clock } from '../../clock.ts';
import type { RecordChecks } from '../job-checks.ts';
import type { BenchOutbox } from './bench-outbox.ts';
import type { RecordCaptures } from './record-captures.ts';
import type { RecordsServer } from './records-server.ts';
import { RecordsTrouble } from './records-trouble.ts';

export interface BenchDeliveryParts {
  readonly server: RecordsServer;
  readonly outbox: BenchOutbox;
  readonly captures: RecordCaptures;
  readonly checks: RecordChecks;
  readonly clock: Clock;
  readonly log: (text: string) => void;
}

/** How often it looks for what has ended [ms]. */
export const LOOK_EVERY_MS = 2000;
export const FIRST_RETRY_MS = 1000;
export const LAST_RETRY_MS = 30_000;

/** Brings the captures and results of checks of this bench to the shared record, for as long as the service runs, whatever the network does. */
export class BenchDelivery {
  readonly #parts: BenchDeliveryParts;
  #callOff: (() => void) | null = null;
  #running: Promise<void> = Promise.resolve();
  #stopped = false;
  #retryMs = FIRST_RETRY_MS;
  #trouble: RecordsTrouble['code'] | null = null;
  #troubleSinceMs: number | null = null;
  #lastDeliveredAtMs: number | null = null;

  constructor(parts: BenchDeliveryParts) {
    this.#parts = parts;
  }

  /** What kept the last look from its work; null where all went well. */
  get trouble(): RecordsTrouble['code'] | null {
    return this.#trouble;
  }

  /** Since when one look after the other has failed, for whatever reason [ms since 1970]. */
  get troubleSinceMs(): number | null {
    return this.#troubleSinceMs;
  }

  /** When a capture arrived last, of those since the start [ms since 1970]. */
  get lastDeliveredAtMs(): number | null {
    return this.#lastDeliveredAtMs;
  }

  start(): void {
    this.#running = this.#look();
  }

  /** Close the connections first: what is under way ends with them. */
  async stop(): Promise<void> {
    this.#stopped = true;
    this.#callOff?.();
    await this.#running;
  }

  /** One capture, now. @throws RecordsTrouble */
  async deliver(captureId: string): Promise<void> {
    const { server, outbox, captures, clock } = this.#parts;
    const recordId = await server.ready();
    const row = outbox.row(captureId);
    if (row === null || row.state === 'recording') return;
    await captures.put(row, outbox.chunks(captureId));
    outbox.marked(captureId, recordId, row.figures_json !== null);
    this.#lastDeliveredAtMs = clock.wallMs();
  }

  /** All that wait. @throws RecordsTrouble */
  async deliverAll(): Promise<void> {
    const { server, outbox, checks } = this.#parts;
    const recordId = await server.ready();
    for (const id of outbox.waiting(recordId)) {
      if (this.#stopped) return;
      await this.deliver(id);
    }
    for (const result of outbox.waitingChecks(recordId)) {
      if (this.#stopped) return;
      await checks.put(result);
      outbox.markedCheck(result.id, recordId);
    }
  }

  async #look(): Promise<void> {
    let nextMs = LOOK_EVERY_MS;
    try {
      await this.deliverAll();
      if (this.#trouble !== null) this.#parts.log('the shared job record is reached again');
      this.#trouble = null;
      this.#troubleSinceMs = null;
      this.#retryMs = FIRST_RETRY_MS;
    } catch (error) {
      nextMs = this.#retryMs;
      this.#retryMs = Math.min(2 * this.#retryMs, LAST_RETRY_MS);
      this.#told(error);
    }
    if (this.#stopped) return;
    this.#callOff = this.#parts.clock.after(nextMs, () => {
      this.#running = this.#look();
    });
  }

  #told(error: unknown): void {
    if (this.#stopped) return;
    const code = error instanceof RecordsTrouble ? error.code : 'records-refused';
    this.#troubleSinceMs ??= this.#parts.clock.wallMs();
    if (code === this.#trouble) return;
    this.#trouble = code;
    const detail = error instanceof RecordsTrouble ? error.message : String(error);
    this.#parts.log(`captures wait on this bench: ${detail}`);
  }
}
