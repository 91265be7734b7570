import { rm } from 'node:fs/promises';
import type { Clock } from '../../clock.ts';
import type { Shop } from '../../contract/jobs.ts';
import type { BackupState } from '../../contract/jobs-views.ts';
import { backupsIn } from './backup-names.ts';
import type { MadeBackup } from './make-backup.ts';

export interface BackupScheduleOptions {
  readonly clock: Clock;
  /** The wishes in force; read anew each time, so that a change counts at once. */
  readonly wishes: () => Promise<Shop['backup']>;
  readonly make: (folder: string, atMs: number) => Promise<MadeBackup>;
  readonly log: (text: string) => void;
}

/** How often it looks whether a backup is due [ms]. */
export const LOOK_EVERY_MS = 60_000;
/** How long it waits after one that failed [ms]. */
export const RETRY_AFTER_MS = 600_000;
const HOUR_MS = 3_600_000;

/** Makes backups at their time for as long as the service runs, and clears away the oldest beyond those to keep. */
export class BackupSchedule {
  readonly #options: BackupScheduleOptions;
  #stopLooking: (() => void) | null = null;
  #running: Promise<MadeBackup> | null = null;
  #lastProblem: { readonly folder: string | null; readonly detail: string } | null = null;
  #notBeforeMs = 0;

  constructor(options: BackupScheduleOptions) {
    this.#options = options;
  }

  start(): void {
    this.#stopLooking ??= this.#options.clock.every(LOOK_EVERY_MS, () => void this.look());
  }

  /** Waits for one that is being made. */
  async stop(): Promise<void> {
    this.#stopLooking?.();
    this.#stopLooking = null;
    await this.#running;
  }

  /** Makes one where it is due. */
  async look(): Promise<void> {
    const { clock, wishes } = this.#options;
    let folder: string | null = null;
    try {
      ({ folder } = await wishes());
      if (folder === null || this.#running !== null || clock.wallMs() < this.#notBeforeMs) return;
      const { nextAtMs } = await this.state();
      if (nextAtMs !== null && nextAtMs <= clock.wallMs()) await this.run();
    } catch (error) {
      this.#problem(folder, error instanceof Error ? error.message : String(error));
    }
  }

  /** Makes one now, or waits for the one under way. null where no folder is set. */
  async run(): Promise<MadeBackup | null> {
    if (this.#running !== null) return this.#running;
    const { folder, keep } = await this.#options.wishes();
    if (folder === null) return null;
    if (this.#running !== null) return this.#running;
    this.#running = this.#make(folder, keep);
    try {
      return await this.#running;
    } finally {
      this.#running = null;
    }
  }

  async state(): Promise<BackupState> {
    const { folder, everyHours } = await this.#options.wishes();
    const found = folder === null ? [] : await backupsIn(folder);
    const last = found[0]?.madeAtMs ?? null;
    return {
      folder,
      lastMadeAtMs: last,
      nextAtMs:
        folder === null ? null : Math.max(this.#notBeforeMs, last === null ? 0 : last + everyHours * HOUR_MS),
      // Another folder has no problem yet.
      lastProblem: this.#lastProblem?.folder === folder ? this.#lastProblem.detail : null,
      backups: found.map(({ name, madeAtMs, bytes }) => ({ name, madeAtMs, bytes, whole: true })),
    };
  }

  async #make(folder: string, keep: number): Promise<MadeBackup> {
    const { make, clock } = this.#options;
    const made = await make(folder, clock.wallMs());
    if (!made.ok) {
      this.#problem(folder, made.detail);
      return made;
    }
    this.#lastProblem = null;
    this.#notBeforeMs = 0;
    for (const old of (await backupsIn(folder)).slice(keep)) {
      await rm(old.path, { recursive: true, force: true }).catch((error: unknown) =>
        this.#options.log(`old backup ${old.name} stays: ${String(error)}`),
      );
    }
    return made;
  }

  #problem(folder: string | null, detail: string): void {
    this.#lastProblem = { folder, detail };
    this.#notBeforeMs = this.#options.clock.wallMs() + RETRY_AFTER_MS;
    this.#options.log(`backup failed: ${detail}`);
  }
}
