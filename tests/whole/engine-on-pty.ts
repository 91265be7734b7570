import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, rmSync } from 'node:fs';
import { PracticeBench } from '../../server/practice/practice-bench.ts';
import { PracticeBoard } from '../../server/practice/practice-board.ts';

/** How often the board's bytes are written, as a USB bridge does [ms]. */
const WRITE_EVERY_MS = 8;

/**
 * The simulated engine behind a board on a real pseudo-terminal, with its exact truth at hand. To the service it is
 * a serial port like any other. The engine stands still while the cable is out.
 */
export class EngineOnPty {
  readonly path: string;
  readonly bench: PracticeBench;
  #socat: ChildProcess | null = null;
  #timer: NodeJS.Timeout | null = null;

  constructor(path: string, layout: string, seed: number, sampleRateHz = 500) {
    this.path = path;
    this.bench = new PracticeBench({
      layout,
      seed,
      sampleRateHz,
      ambientKpa: 98.4,
      conversionS: 0.000_104,
      historyS: 120,
      taps: { lagS: 0.002, noiseKpa: 0.12 },
    });
  }

  async plugIn(): Promise<void> {
    rmSync(this.path, { force: true });
    const socat = spawn('socat', [`PTY,link=${this.path},raw,echo=0`, 'STDIO'], {
      stdio: ['pipe', 'pipe', 'inherit'],
    });
    this.#socat = socat;
    await once(socat, 'spawn');
    while (!existsSync(this.path)) await new Promise((next) => setTimeout(next, 5));
    let board: PracticeBoard | null = null;
    socat.stdin?.on('error', () => {});
    // As with many boards, opening the port resets it: it starts when it is first spoken to.
    socat.stdout?.on('data', (bytes: Buffer) => {
      board ??= new PracticeBoard(this.bench, performance.now());
      board.command(bytes.toString('latin1'));
    });
    this.#timer = setInterval(() => {
      const text = board?.run(performance.now()) ?? '';
      if (text !== '') socat.stdin?.write(text, 'latin1');
    }, WRITE_EVERY_MS);
  }

  async unplug(): Promise<void> {
    if (this.#timer !== null) clearInterval(this.#timer);
    const socat = this.#socat;
    this.#socat = null;
    if (socat === null || socat.exitCode !== null) return;
    const gone = once(socat, 'exit');
    socat.kill('SIGKILL');
    await gone;
    rmSync(this.path, { force: true });
  }

  /** True mean vacuum of the newest `cycles` cycles of each cylinder [kPa], and the true mean speed [r/min]. */
  truth(cycles: number): { vacuumKpa: number[]; spreadKpa: number; idleRpm: number } {
    const newest = Array.from({ length: this.bench.cylinders }, (_, cyl) =>
      this.bench.trueCycles.filter((cycle) => cycle.cyl === cyl).slice(-cycles),
    );
    const vacuumKpa = newest.map(
      (own) => this.bench.ambientKpa - mean(own.map((cycle) => cycle.meanPortKpa)),
    );
    return {
      vacuumKpa,
      spreadKpa: Math.max(...vacuumKpa) - Math.min(...vacuumKpa),
      idleRpm: mean(newest.flat().map((cycle) => cycle.speedRpm)),
    };
  }
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
