import type { SeededRandom } from '../engines/seeded-random.ts';
import type { FaultyBoard } from './faulty-board.ts';
import type { CableTrouble } from './faulty-cable.ts';
import type { PlayedEngine } from './played-engine.ts';
import type { Workshop } from './workshop.ts';

/** The things on the bench that faults befall. */
export interface Bench {
  readonly workshop: Workshop;
  readonly random: SeededRandom;
  readonly board: FaultyBoard;
  /** Where the board is plugged in just now. */
  path: string;
  /** Its engine as found and with its screws turned. */
  readonly engines: readonly [PlayedEngine, PlayedEngine];
  /** Lets time pass while every message is judged. */
  pass(ms: number): Promise<void>;
  /** The other board with another engine. */
  readonly other: FaultyBoard;
  /** Something that was promised was not kept. */
  breach(what: string): void;
  /** Whether lines were lost since the measurement last began anew. */
  linesLost: boolean;
}

export interface Fault {
  readonly name: string;
  /** From the end of the fault to the first good sample it may take so long [ms]. */
  readonly backWithinMs: number;
  /** Carries the fault out and takes it away again. */
  befall(bench: Bench): Promise<void>;
}

/** The link's longest pause between two tries, and the identity that follows. */
const BACK_AT_ONCE_MS = 4_000;
/** Also a port that answered nothing is looked at again within that time. */
const BACK_ELSEWHERE_MS = 45_000;
/** Longest line of the protocol and more, so that a cut falls on every byte of a line and on its ends. */
const CUT_WITHIN_BYTES = 80;

export const FAULTS: readonly Fault[] = [
  {
    name: 'unplugged within a line',
    backWithinMs: BACK_AT_ONCE_MS,
    befall: (bench) => replug(bench, bench.path),
  },
  {
    name: 'plugged in elsewhere',
    backWithinMs: BACK_ELSEWHERE_MS,
    befall: (bench) => replug(bench, `/dev/tty${bench.random.index(1_000_000)}`),
  },
  cable('bytes altered', ({ random }) => ({ flip: 10 ** random.between(-4, -0.5) })),
  cable('bytes lost', ({ random }) => ({ drop: 10 ** random.between(-4, -0.5) })),
  cable('bytes added', ({ random }) => ({ insert: 10 ** random.between(-4, -0.5) })),
  cable('stalled and delivered late', () => ({ hold: true })),
  cable('stalled and lost', () => ({ deaf: true })),
  cable('lines twice', ({ random }) => ({ twice: random.between(0.05, 1) })),
  cable('lines out of order', ({ random }) => ({ swap: random.between(0.05, 0.9) })),
  cable('chunks out of order', ({ random }) => ({ late: random.between(0.05, 0.5) })),
  cable('all at once', ({ random }) => ({
    flip: 10 ** random.between(-4, -1),
    drop: 10 ** random.between(-4, -1),
    insert: 10 ** random.between(-4, -1),
    twice: random.between(0, 0.3),
    swap: random.between(0, 0.3),
  })),
  {
    name: 'board reset',
    backWithinMs: BACK_AT_ONCE_MS,
    async befall(bench) {
      const { board, workshop, random } = bench;
      for (let times = 1 + random.index(3); times > 0; times--) {
        board.reset(workshop.trueMs);
        await bench.pass(random.between(0, 400));
      }
    },
  },
  {
    name: "board's clock or numbers jump",
    backWithinMs: BACK_AT_ONCE_MS,
    async befall(bench) {
      const { board, random } = bench;
      const ticks =
        random.uniform() < 0.3 ? 0 : Math.round(random.between(-1, 1) * 10 ** random.between(3, 9.5));
      board.jump(ticks, random.uniform() < 0.5 ? 0 : Math.round(random.between(-40_000, 40_000)));
      await bench.pass(random.between(0, 300));
    },
  },
  {
    name: 'computer slept',
    backWithinMs: BACK_AT_ONCE_MS,
    async befall(bench) {
      const { workshop, random } = bench;
      workshop.sleep(10 ** random.between(2, 7), random.uniform() < 0.5);
      await bench.pass(random.between(0, 100));
    },
  },
  {
    name: 'time of day set',
    backWithinMs: BACK_AT_ONCE_MS,
    async befall(bench) {
      const { workshop, random } = bench;
      workshop.clock.setWallBy(Math.round(random.between(-1, 1) * 10 ** random.between(3, 11)));
      await bench.pass(random.between(0, 300));
    },
  },
  {
    name: 'came back at another line speed',
    backWithinMs: BACK_ELSEWHERE_MS,
    async befall(bench) {
      await replug(bench, bench.path, () => {
        bench.board.baudRate = [500_000, 115_200, 1_000_000][bench.random.index(3)]!;
      });
    },
  },
  {
    name: 'came back with a newer protocol, then with this one',
    backWithinMs: BACK_AT_ONCE_MS,
    async befall(bench) {
      await replug(bench, bench.path, () => {
        bench.board.protocolVersion = 2;
      });
      await bench.pass(bench.random.between(3_000, 8_000));
      const { link, errorCode, sentence } = bench.workshop.session.source;
      if (link !== 'refused' || errorCode !== 'board-newer-protocol' || sentence === '')
        bench.breach(`a board with a newer protocol: ${link}, ${errorCode}`);
      await replug(bench, bench.path, () => {
        bench.board.protocolVersion = 1;
      });
    },
  },
  {
    name: 'a second board',
    backWithinMs: BACK_ELSEWHERE_MS,
    async befall(bench) {
      const { workshop, other, random } = bench;
      const path = `/dev/ttyother${random.index(1_000)}`;
      workshop.plugIn(path, other);
      await bench.pass(random.between(500, 4_000));
      const heard = workshop.heardBoard;
      if (heard !== null && heard !== bench.board) bench.breach('left a board that is live for another one');
      workshop.unplug(path, random.index(CUT_WITHIN_BYTES));
      await bench.pass(random.between(0, 500));
    },
  },
];

async function replug(bench: Bench, path: string, meanwhile: () => void = () => {}): Promise<void> {
  const { workshop, random, board, engines } = bench;
  workshop.unplug(bench.path, random.index(CUT_WITHIN_BYTES));
  await bench.pass(10 ** random.between(1, 4));
  // Someone turned the screws meanwhile: what was measured before is wrong now.
  board.engine = engines[random.index(2)]!;
  meanwhile();
  workshop.plugIn(path, board);
  bench.path = path;
  bench.linesLost = false;
}

function cable(name: string, trouble: (bench: Bench) => CableTrouble): Fault {
  return {
    name,
    // Seven seconds of silence end in a fresh open of the port.
    backWithinMs: BACK_ELSEWHERE_MS,
    async befall(bench) {
      const at = bench.workshop.cable(bench.path);
      at.trouble = trouble(bench);
      bench.linesLost = true;
      await bench.pass(10 ** bench.random.between(1, 4));
      at.trouble = {};
    },
  };
}
