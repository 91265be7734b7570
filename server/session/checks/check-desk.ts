import type { IdentityLine, SampleLine } from '../../../firmware-protocol/lines.ts';
import { CHECK_NAMES } from '../../contract/check-words.ts';
import type { CheckEvent, CheckResult, CheckStart, CheckState } from '../../contract/checks.ts';
import type { Setup } from '../../contract/setup.ts';
import type { CheckResultStore } from '../../jobs/check-result-store.ts';
import type { Outcome, SampleObserver } from '../measuring-parts.ts';
import { channelDelaysS, type TakenSample } from '../sample-intake.ts';
import { engineSetup } from '../setup-change.ts';
import { CheckRecord, LONGEST_CHECK_S } from './check-record.ts';
import type { CheckRun } from './check-run.ts';
import { newRun } from './new-run.ts';

export interface CheckDeskOptions {
  readonly store: CheckResultStore;
  /** Steady clock [ms], the same as that of the samples' arrival. */
  readonly nowMs: () => number;
  readonly wallMs: () => number;
  readonly softwareVersion: string;
  readonly log: (text: string) => void;
  readonly live: () => boolean;
  readonly practice: () => boolean;
  readonly setup: () => Setup;
  /** Standard uncertainty of each cylinder's sensor [kPa]. */
  readonly uncertaintyKpa: () => readonly number[];
  readonly visit: (visitId: string) => Promise<{ readonly practice: boolean } | null>;
  /** For the practice engine: the hand on a spot, and a cylinder switched off. */
  readonly onPress?: (spot: string | null, down: boolean) => void;
  readonly onDisable?: (cylinder: number, disabled: boolean) => void;
}

interface Running {
  readonly start: CheckStart;
  readonly practice: boolean;
  readonly record: CheckRecord;
  readonly run: CheckRun;
  readonly startS: number;
}

/** One guided check at a time, fed with the samples of the board in use. Its result is kept. */
export class CheckDesk implements SampleObserver {
  readonly #options: CheckDeskOptions;
  #identity: IdentityLine | null = null;
  #newestS = 0;
  #newestArrivedMs = 0;
  #running: Running | null = null;
  #result: CheckResult | null = null;
  #notKept: string | null = null;

  constructor(options: CheckDeskOptions) {
    this.#options = options;
  }

  state(): CheckState {
    const running = this.#running;
    const timeS = this.#timeS(0);
    if (running === null) return { running: null, result: this.#result, notKept: this.#notKept };
    const view = running.run.view(timeS);
    return {
      running: {
        ...view,
        figures: [...view.figures],
        kind: running.start.kind,
        name: CHECK_NAMES[running.start.kind],
        practice: running.practice,
        elapsedS: timeS - running.startS,
      },
      result: this.#result,
      notKept: this.#notKept,
    };
  }

  async start(start: CheckStart): Promise<Outcome<CheckState>> {
    const { store, visit, setup, practice } = this.#options;
    const named = start.visitId ?? null;
    const visitId = start.visitId === undefined ? (setup().benchVisitId ?? null) : named;
    const job = visitId === null ? null : await visit(visitId);
    if (named !== null && job === null) return { ok: false, code: 'record-not-found' };
    const earlier = start.earlierId === undefined ? null : store.get(start.earlierId);
    if (start.earlierId !== undefined && earlier === null)
      return { ok: false, code: 'bad-request', detail: 'there is no such earlier result' };
    // What the practice engine did is evidence of no real job, nor the other way round.
    const fits = job !== null && job.practice === practice();
    return this.#begin({ ...start, visitId: fits ? visitId : null }, earlier);
  }

  #begin(start: CheckStart, earlier: CheckResult | null): Outcome<CheckState> {
    const { live, practice, setup, uncertaintyKpa, wallMs, onPress, onDisable } = this.#options;
    if (this.#running !== null) return { ok: false, code: 'check-running' };
    const identity = this.#identity;
    if (!live() || identity === null) return { ok: false, code: 'check-needs-board' };
    const record = new CheckRecord({
      setup: engineSetup(setup(), identity.sensorTypes.length),
      channelDelaysS: channelDelaysS(identity),
      sampleRateHz: identity.sampleRateHz,
    });
    const startS = this.#timeS(0);
    const simulated = practice();
    const run = newRun(start, record, startS, {
      setup: setup(),
      uncertaintyKpa: uncertaintyKpa(),
      seed: wallMs(),
      earlier,
      ...(simulated && onPress !== undefined ? { onPress } : {}),
      ...(simulated && onDisable !== undefined ? { onDisable } : {}),
    });
    if (typeof run === 'string') return { ok: false, code: 'bad-request', detail: run };
    this.#running = { start, practice: simulated, record, run, startS };
    this.#result = null;
    this.#notKept = null;
    return { ok: true, value: this.state() };
  }

  happen({ event, agoS }: CheckEvent): Outcome<CheckState> {
    if (this.#running === null) return { ok: false, code: 'check-not-running' };
    this.#running.run.happen(event, this.#timeS(agoS ?? 0));
    return { ok: true, value: this.state() };
  }

  /** Ends the check with what it has seen. */
  finish(): Outcome<CheckState> {
    if (this.#running === null) return { ok: false, code: 'check-not-running' };
    this.#end(this.#running);
    return { ok: true, value: this.state() };
  }

  /** Ends it without a result. */
  discard(): CheckState {
    this.#letGo();
    return this.state();
  }

  onBoard(identity: IdentityLine): void {
    this.#letGo();
    this.#identity = identity;
  }

  onSample(_line: SampleLine, taken: TakenSample, absoluteKpa: ArrayLike<number>, arrivedMs: number): void {
    const identity = this.#identity;
    if (identity === null) return;
    this.#newestS = taken.timeTicks / identity.clockRateHz;
    this.#newestArrivedMs = arrivedMs;
    const running = this.#running;
    if (running === null) return;
    running.record.push(this.#newestS, absoluteKpa);
    const overdue = this.#newestS - running.startS > LONGEST_CHECK_S;
    if (overdue || running.run.done(this.#newestS)) this.#end(running);
  }

  onAmbient(): void {}

  onLinkState(): void {}

  /** A check with a hole in it would say what it did not see. */
  onBreak(): void {
    if (this.#running === null) return;
    this.#letGo();
    this.#notKept =
      'The samples stopped, so the check was ended without a result: look at the cable and start it again.';
  }

  #end({ start, practice, record, run }: Running): void {
    this.#letGo();
    const { store, wallMs, softwareVersion, log } = this.#options;
    const result: Omit<CheckResult, 'id'> = {
      ...run.finish(),
      kind: start.kind,
      madeAtMs: wallMs(),
      practice,
      visitId: start.visitId ?? null,
      softwareVersion,
      cylinders: record.setup.cylinders,
    };
    try {
      this.#result = store.append(result);
    } catch (error) {
      log(`check not kept: ${error instanceof Error ? error.message : String(error)}`);
      this.#result = { ...result, id: 'not-kept' };
      this.#notKept =
        'The result could not be kept: see that the disk has room, write it down and repeat the check.';
    }
  }

  #letGo(): void {
    const running = this.#running;
    if (running === null) return;
    this.#running = null;
    if (running.run.view(this.#newestS).held) running.run.happen('up', this.#newestS);
  }

  /** Session time so long ago [s]: of the newest sample, and what has passed since. */
  #timeS(agoS: number): number {
    const sinceS = this.#newestArrivedMs === 0 ? 0 : (this.#options.nowMs() - this.#newestArrivedMs) / 1000;
    return this.#newestS + sinceS - agoS;
  }
}
