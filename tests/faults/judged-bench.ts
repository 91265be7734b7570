import { type SeededRandom, seededRandom } from '../engines/seeded-random.ts';
import type { Bench } from './faults.ts';
import { FaultyBoard } from './faulty-board.ts';
import { isBlank, isWhole, wrongFigure } from './figure-judge.ts';
import { ENGINE_PAIRS } from './played-engine.ts';
import { Workshop } from './workshop.ts';

/** The instrument is right again within so much good data, or says why not [ms]. */
export const RIGHT_WITHIN_MS = 2_000;
/** A link that is away longer than this must say why [ms]. */
const SAID_WITHIN_MS = 2_000;
const STEP_MS = 20;
/** A breach shows in every message after it: the first few tell it all. */
const TOLD_BREACHES = 5;

/** A bench on which every message to the screens is held against the truth of the engine that is heard. */
export class JudgedBench implements Bench {
  readonly random: SeededRandom;
  readonly workshop: Workshop;
  readonly engines: Bench['engines'];
  readonly board: FaultyBoard;
  readonly other: FaultyBoard;
  path = '/dev/ttyUSB0';
  linesLost = false;
  /** What is happening, for the report. */
  doing = 'start';
  /** What was promised and not kept, with the moment. */
  readonly broken: string[] = [];
  judgedMessages = 0;

  constructor(seed: number) {
    this.random = seededRandom(seed, 91);
    this.engines = ENGINE_PAIRS[this.random.index(ENGINE_PAIRS.length)]!();
    const others = ENGINE_PAIRS[this.random.index(ENGINE_PAIRS.length)]!();
    this.board = new FaultyBoard('bench-1', this.engines[0], 500_000);
    this.other = new FaultyBoard('bench-2', others[1], 500_000);
    this.workshop = new Workshop(this.engines[0].cylinders, this.random, (message) => {
      if (message.type !== 'update') return;
      this.judgedMessages++;
      const { link } = this.workshop.session.source;
      const heard = link === 'live' ? this.workshop.heardBoard : null;
      if (heard !== null) {
        const wrong = wrongFigure(message, heard.engine, this.linesLost);
        if (wrong !== null) this.breach(wrong);
      } else if (!isBlank(message)) {
        this.breach(`figures are shown while the link is ${link}`);
      }
    });
    this.workshop.plugIn(this.path, this.board);
  }

  breach(what: string): void {
    const atS = (this.workshop.clock.nowMs() / 1000).toFixed(2);
    if (this.broken.length < TOLD_BREACHES) this.broken.push(`${atS} s, ${this.doing}: ${what}`);
  }

  async pass(ms: number): Promise<void> {
    for (let left = ms; left > 0; left -= STEP_MS) {
      await this.workshop.clock.advance(Math.min(STEP_MS, left));
      const { source, update } = this.workshop.session;
      if (source.link !== 'live' && update !== null && !isBlank(update)) {
        this.breach(`old figures stay while the link is ${source.link}`);
      }
    }
  }

  /** @returns milliseconds of good data before everything was shown again */
  async untilRight(backWithinMs: number): Promise<number> {
    const { workshop } = this;
    let awayMs = 0;
    let goodMs = 0;
    while (!(workshop.session.live && isWhole(workshop.update))) {
      const { link, errorCode, sentence } = workshop.session.source;
      if (workshop.session.live) goodMs += STEP_MS;
      else awayMs += STEP_MS;
      const silent = errorCode === null || sentence === '';
      if (goodMs > RIGHT_WITHIN_MS) {
        this.breach(`not right again after ${goodMs} ms of good data, and said is "${sentence}"`);
        return goodMs;
      }
      if (awayMs > SAID_WITHIN_MS && link === 'lost' && silent) {
        this.breach('the link is lost and nobody is told why');
        return goodMs;
      }
      if (awayMs > backWithinMs) {
        this.breach(`not back after ${awayMs} ms: link ${link}, ${errorCode}`);
        return goodMs;
      }
      await this.pass(STEP_MS);
    }
    return goodMs;
  }

  /**
   * Every row in a capture is one that the board sent, at a time that grows; or one of those few that the cable altered
   * so that their checksum fits, which are counted apart.
   */
  checkCaptures(): { readonly rows: number; readonly slippedRows: number } {
    let rows = 0;
    let slippedRows = 0;
    const { store, altered } = this.workshop;
    for (const id of store.kept.keys()) {
      let newestTicks = -1;
      for (const { timeTicks, counts } of store.chunks(id)) {
        for (let row = 0; row < timeTicks.length; row++, rows++) {
          const kept = counts.map((channel) => channel[row]).join();
          if (altered.slippedRows.has(kept)) slippedRows++;
          else if (!this.board.sentRows.has(kept))
            this.breach(`a capture keeps a row that was never sent: ${kept}`);
          if (timeTicks[row]! <= newestTicks) this.breach('time in a capture does not grow');
          newestTicks = timeTicks[row]!;
        }
      }
    }
    return { rows, slippedRows };
  }

  async stop(): Promise<void> {
    const { workshop } = this;
    await workshop.stop();
    if (workshop.clock.pending > 0) this.breach(`${workshop.clock.pending} timers are left after the stop`);
  }
}
