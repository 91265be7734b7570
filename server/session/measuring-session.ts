import type { AmbientLine, IdentityLine, NoticeLine, SampleLine } from '../../firmware-protocol/lines.ts';
import type { ByteSource, StreamEnd } from '../board/byte-source.ts';
import { type LinkListener, LinkRunner } from '../board/link-runner.ts';
import type { LinkState } from '../board/link-types.ts';
import { sameBoard } from '../board/same-board.ts';
import type { Clock } from '../clock.ts';
import type { CaptureLabel, CapturePlan, CaptureSummary, PlannedCapture } from '../contract/captures.ts';
import type { SetupPatch } from '../contract/http.ts';
import type { Advice, LiveMessage, SourceState, Update } from '../contract/live.ts';
import type { Setup } from '../contract/setup.ts';
import type { ErrorCode } from '../error-catalogue.ts';
import type { CaptureStore } from '../jobs/capture-store.ts';
import type { Reading } from '../signal/reading.ts';
import { CaptureDesk } from './capture-desk.ts';
import { KeyOffPressure } from './key-off.ts';
import { LiveSender } from './live-sender.ts';
import type { Outcome, SampleObserver } from './measuring-parts.ts';
import { MeasuringPipeline, type PipelineParts } from './measuring-pipeline.ts';
import { newPlan, type PlanSeen, type PlanState, planView, stepPlan } from './planned-capture.ts';
import { SetupDesk } from './setup-desk.ts';
import { sourceView } from './source-view.ts';

export interface MeasuringSessionOptions extends PipelineParts {
  readonly clock: Clock;
  readonly store: CaptureStore;
  /** As the person left it, or null where nothing was ever chosen. */
  readonly setup: Setup | null;
  readonly softwareVersion: string;
  readonly publish: (message: LiveMessage) => void;
  readonly saveSetup: (setup: Setup) => void;
  /** For the log: the system's own words. */
  readonly log: (text: string) => void;
  readonly observers?: readonly SampleObserver[];
  /** What the person should know of the calibration in force, in one sentence; empty when all is well. */
  readonly calibrationSentence?: () => string;
}

/** Counters and the running capture are told this often. */
export const SLOW_MS = 1_000;

/** Joins the link to the board, the measurement, the captures and the live messages. */
export class MeasuringSession implements LinkListener {
  readonly #options: MeasuringSessionOptions;
  readonly #captures: CaptureDesk;
  readonly #setups: SetupDesk;
  readonly #counters: Record<string, number> = {};
  readonly #sender: LiveSender;
  readonly #cancelSlow: () => void;
  #runner: LinkRunner | null = null;
  #changing: Promise<void> = Promise.resolve();
  #trouble: ErrorCode | null = null;
  #unsaved = false;
  #pipeline: MeasuringPipeline | null = null;
  #plan: PlanState | null = null;
  #planVisitId: string | null = null;
  #keyOff: KeyOffPressure | null = null;
  #newestArrivedMs = 0;
  #countersChanged = false;
  #toldTrouble: ErrorCode | null = null;

  constructor(options: MeasuringSessionOptions) {
    this.#options = options;
    this.#setups = new SetupDesk({
      ...options,
      onChange: (before, after) => this.#takeSetup(before, after),
    });
    this.#captures = new CaptureDesk({
      ...options,
      onUnsaved: (unsaved) => {
        if (unsaved === this.#unsaved) return;
        this.#unsaved = unsaved;
        this.#publishSource();
      },
    });
    this.#sender = new LiveSender({
      clock: options.clock,
      publish: options.publish,
      measured: () => (this.live ? this.#pipeline : null),
      newestArrivedMs: () => this.#newestArrivedMs,
      plannedCapture: (reading, advice) => this.#stepPlan(reading, advice),
    });
    this.#cancelSlow = options.clock.every(SLOW_MS, () => this.#sendSlowMatters());
  }

  /** Measures another source from now on. A capture does not go on from an engine to a simulated one or back. */
  useSource(source: ByteSource): void {
    const before = this.#runner;
    const wasPractice = before?.source.kind === 'practice';
    if (before !== null && wasPractice !== (source.kind === 'practice')) this.#captures.interrupt();
    const runner = new LinkRunner(source, this, this.#options.clock);
    this.#runner = runner;
    if (before !== null) this.#lose();
    this.#publishSource();
    this.#changing = this.#changing
      .then(() => before?.stop())
      .then(() => {
        if (this.#runner === runner) runner.start();
      });
  }

  /** Why no board is in use although one is looked for; null when that is no matter. */
  setTrouble(code: ErrorCode | null): void {
    if (code === this.#trouble) return;
    this.#trouble = code;
    this.#publishSource();
  }

  /** Ends the running capture as interrupted and frees the device. */
  async stop(): Promise<void> {
    this.#cancelSlow();
    this.#sender.stop();
    this.#captures.interrupt();
    const runner = this.#runner;
    this.#runner = null;
    await this.#changing;
    await runner?.stop();
  }

  get source(): SourceState {
    const trouble = this.#unsaved ? 'capture-not-saved' : (this.#trouble ?? this.#pipelineTrouble());
    return {
      ...sourceView(this.#runner?.source ?? null, this.#runner?.state ?? null, trouble, this.#counters),
      calibrationSentence: this.live ? (this.#options.calibrationSentence?.() ?? '') : '',
    };
  }

  /** Whether the source is the simulated engine. */
  get practice(): boolean {
    return this.#runner?.source.kind === 'practice';
  }

  get setup(): Setup {
    return this.#setups.setup;
  }

  /** Standard uncertainty of each measured cylinder's sensor [kPa]; empty without a board. */
  get sensorUncertaintyKpa(): readonly number[] {
    const pipeline = this.#pipeline;
    if (pipeline === null) return [];
    return pipeline.scales.instrumentOptions(pipeline.cylinders).standardUncertaintyKpa ?? [];
  }

  get update(): Update | null {
    return this.#sender.newest;
  }

  /** Whether samples are coming in. */
  get live(): boolean {
    return this.#runner?.state.phase === 'live' && this.#pipeline !== null;
  }

  get captures(): CaptureSummary[] {
    return this.#captures.list();
  }

  /** The board that a running capture belongs to, or null when none runs. */
  get capturedBoard(): {
    readonly boardId: string;
    readonly practice: boolean;
  } | null {
    return this.#captures.running;
  }

  changeSetup(patch: SetupPatch): Outcome<Setup> {
    return this.#setups.change(patch, {
      keyOffKpa: this.live ? (this.#keyOff?.kpa ?? null) : null,
      captureRunning: this.#captures.running !== null,
    });
  }

  startCapture(label: CaptureLabel, visitId: string | null = null): Outcome<CaptureSummary> {
    const pipeline = this.#pipeline;
    const runner = this.#runner;
    if (!this.live || pipeline === null || runner === null) return { ok: false, code: 'capture-needs-board' };
    return this.#captures.start({
      label,
      visitId,
      pipeline,
      setup: this.setup,
      source: runner.source,
    });
  }

  /** A capture that starts as soon as things are as wished, and ends when it is sure. Another plan takes its place. */
  planCapture(plan: CapturePlan, visitId: string | null = null): Outcome<CapturePlan> {
    if (!this.live) return { ok: false, code: 'capture-needs-board' };
    if (this.#captures.running !== null) return { ok: false, code: 'capture-running' };
    this.#plan = newPlan(plan);
    this.#planVisitId = visitId;
    return { ok: true, value: plan };
  }

  /** The plan is given up. A capture that it has begun goes on until it is stopped by hand. */
  dropPlan(): void {
    this.#plan = null;
  }

  /** The calibration or the sensors of the board are others from now on. Not under a running capture. */
  renewScales(): void {
    const pipeline = this.#pipeline;
    if (pipeline === null || this.#captures.running !== null) return;
    pipeline.renewScales();
    this.#keyOff?.reset();
    this.#sender.blank(pipeline);
    this.#publishSource();
  }

  stopCapture(id: string): Outcome<CaptureSummary> {
    return this.#captures.stop(id);
  }

  onLinkState(state: LinkState): void {
    if (state.phase === 'lost' || state.phase === 'ended')
      this.#options.log(`link ${state.phase}: ${state.errorCode}`);
    this.#observe((observer) => observer.onLinkState(state));
    this.#publishSource();
  }

  onIdentified(line: IdentityLine): void {
    this.#captures.boardChangedTo(line);
    if (this.#pipeline !== null && sameBoard(this.#pipeline.identity, line)) return;
    this.#setups.followBoard(line.sensorTypes.length, this.#runner?.source.kind === 'practice');
    this.#pipeline = new MeasuringPipeline(line, this.setup, this.#timeS(), this.#options);
    this.#keyOff = new KeyOffPressure(this.#pipeline.cylinders);
    this.#observe((observer) => observer.onBoard(line));
    this.#publishSource();
  }

  onSample(line: SampleLine, arrivedMs: number): void {
    const pipeline = this.#pipeline;
    if (pipeline === null) return;
    if (line.counts.some((count) => count > pipeline.identity.fullScaleCounts)) {
      // No converter gives that: the line was altered on its way and its checksum happens to fit.
      this.onCount('above-full-scale');
      return;
    }
    const taken = pipeline.take(line, arrivedMs);
    if (taken.order !== 'next' && taken.order !== 'first') {
      if (taken.order === 'gap') this.onCount('lost-samples', taken.missing);
      else this.onCount(ORDER_COUNTERS[taken.order]);
      if (taken.order === 'restart') this.#captures.break();
      if (taken.order === 'gap' || taken.order === 'restart') this.#keyOff?.reset();
      if (taken.order === 'restart') this.#observe((observer) => observer.onBreak());
    }
    if (!taken.use) {
      if (taken.order === 'next' || taken.order === 'gap') this.onCount('wrong-channel-count');
      return;
    }
    this.#newestArrivedMs = arrivedMs;
    this.#keyOff?.push(pipeline.timeS, pipeline.measured());
    this.#captures.take(line, taken, pipeline.measured());
    this.#observe((observer) => observer.onSample(line, taken, pipeline.absoluteKpa, arrivedMs));
  }

  onAmbient(line: AmbientLine): void {
    const { pressurePa } = line;
    this.#observe((observer) => observer.onAmbient(line));
    if (pressurePa !== null) {
      this.#setups.followBarometer(pressurePa / 1000, this.#captures.running !== null);
    }
  }

  onNotice(line: NoticeLine): void {
    this.onCount(`board-${line.notice}`);
  }

  onBreak(): void {
    this.#lose();
  }

  onCount(counter: string, times = 1): void {
    this.#counters[counter] = (this.#counters[counter] ?? 0) + times;
    this.#countersChanged = true;
  }

  onTrouble(end: StreamEnd): void {
    this.#options.log(`source: ${end.code}: ${end.detail}`);
  }

  #stepPlan(reading: Reading, advice: Advice): PlannedCapture | null {
    const plan = this.#plan;
    if (plan === null) return null;
    const running = this.#captures.running;
    // Started or ended by hand, or cut off: then the plan is over.
    if ((plan.phase === 'recording') !== (running !== null)) {
      this.#plan = null;
      return null;
    }
    const single = reading.cylinders.length === 1;
    const seen: PlanSeen = {
      timeS: reading.timeS ?? 0,
      known: (single ? reading.cylinders[0]!.vacuumKpa : reading.spreadKpa) !== null,
      settling: reading.settling,
      verdict: reading.verdict,
      toleranceKpa: advice.toleranceKpa,
      captureExpandedKpa: this.#captures.expandedKpa,
    };
    const [next, what] = stepPlan(plan, seen);
    this.#plan = next;
    if (what === 'start' && !this.startCapture(plan.plan.label, this.#planVisitId).ok) this.#plan = null;
    if (what === 'stop') {
      this.#plan = null;
      this.stopCapture(running!.id);
    }
    return this.#plan === null ? null : planView(this.#plan, seen);
  }

  /** Session time now [s]: of the newest sample, and what has passed since. */
  #timeS(): number {
    if (this.#pipeline === null) return 0;
    return this.#pipeline.timeS + (this.#options.clock.nowMs() - this.#newestArrivedMs) / 1000;
  }

  #takeSetup(before: Setup, setup: Setup): void {
    const pipeline = this.#pipeline;
    pipeline?.useSetup(setup);
    if (before.cylinders !== setup.cylinders) {
      this.#keyOff = pipeline === null ? null : new KeyOffPressure(pipeline.cylinders);
      this.#publishSource();
    }
    this.#options.publish({ type: 'event', event: 'setup', setup });
  }

  /** The samples stopped: no screen may go on showing what was measured before. */
  #lose(): void {
    const pipeline = this.#pipeline;
    if (pipeline === null) return;
    pipeline.interrupt();
    this.#captures.break();
    this.#keyOff?.reset();
    this.#sender.blank(pipeline);
    this.#observe((observer) => observer.onBreak());
  }

  #observe(tell: (observer: SampleObserver) => void): void {
    for (const observer of this.#options.observers ?? []) tell(observer);
  }

  #sendSlowMatters(): void {
    if (this.#countersChanged || this.#pipelineTrouble() !== this.#toldTrouble) this.#publishSource();
    this.#captures.publishRunning();
  }

  #publishSource(): void {
    this.#countersChanged = false;
    this.#toldTrouble = this.#pipelineTrouble();
    this.#options.publish({
      type: 'event',
      event: 'source',
      source: this.source,
    });
  }

  #pipelineTrouble(): ErrorCode | null {
    const pipeline = this.#pipeline;
    if (pipeline === null || !this.live) return null;
    if (pipeline.linesLost) return 'board-lines-lost';
    if (pipeline.identity.sensorTypes.length < this.setup.cylinders) return 'board-fewer-channels';
    return pipeline.scales.trouble;
  }
}

const ORDER_COUNTERS = {
  duplicate: 'duplicate-samples',
  late: 'late-samples',
  restart: 'board-restarts',
} as const;
