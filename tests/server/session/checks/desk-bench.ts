import type { IdentityLine } from '../../../../firmware-protocol/lines.ts';
import type { CheckResult, CheckStart } from '../../../../server/contract/checks.ts';
import type { Setup } from '../../../../server/contract/setup.ts';
import type { CheckResultStore } from '../../../../server/jobs/check-result-store.ts';
import type { JobChecks } from '../../../../server/jobs/job-checks.ts';
import { PracticeBench, type PracticeBenchOptions } from '../../../../server/practice/practice-bench.ts';
import { CheckDesk } from '../../../../server/session/checks/check-desk.ts';
import { spotCylinder } from '../../../../server/session/checks/spot-cylinder.ts';
import { DEFAULT_SETUP } from '../../../../server/session/setup-change.ts';

const RATE_HZ = 500;
const TICKS = 1_000_000;

export class MemoryResults implements CheckResultStore {
  readonly kept: CheckResult[] = [];
  full = false;

  append(result: Omit<CheckResult, 'id'>): CheckResult {
    if (this.full) throw new Error('no room');
    const whole = { ...result, id: `result-${this.kept.length + 1}` };
    this.kept.unshift(whole);
    return whole;
  }

  get(id: string): CheckResult | null {
    return this.kept.find((one) => one.id === id) ?? null;
  }

  list(): CheckResult[] {
    return this.kept;
  }
}

/** A job record that is that store. */
export class MemoryJobChecks implements JobChecks {
  readonly #store: MemoryResults;

  constructor(store: MemoryResults) {
    this.#store = store;
  }

  listForVisit(visitId: string): Promise<CheckResult[]> {
    return Promise.resolve(this.#store.kept.filter((result) => result.visitId === visitId));
  }

  get(id: string): Promise<CheckResult | null> {
    return Promise.resolve(this.#store.get(id));
  }

  put(result: CheckResult): Promise<void> {
    this.#store.kept.unshift(result);
    return Promise.resolve();
  }
}

/** A desk on the practice engine, both on a time that the test carries on. */
export function deskBench(options: PracticeBenchOptions = {}, setup: Partial<Setup> = {}) {
  const bench = new PracticeBench({
    sampleRateHz: RATE_HZ,
    warmUpS: 3,
    historyS: 1,
    taps: { noiseKpa: 0.1, lagS: 0.002 },
    ...options,
  });
  const identity: IdentityLine = {
    kind: 'identity',
    protocolVersion: 1,
    boardId: 'practice',
    firmwareVersion: '1',
    sensorTypes: Array.from({ length: bench.cylinders }, () => 'MPX4115A'),
    sampleRateHz: RATE_HZ,
    clockRateHz: TICKS,
    conversionTicks: 0,
    fullScaleCounts: 1023,
  };
  const store = new MemoryResults();
  let live = true;
  const desk = new CheckDesk({
    store,
    nowMs: () => 1000 + bench.timeS * 1000,
    wallMs: () => 1_700_000_000_000 + Math.round(bench.timeS * 1000),
    softwareVersion: '1.2.3',
    log: () => {},
    live: () => live,
    practice: () => true,
    setup: () => ({ ...DEFAULT_SETUP, cylinders: bench.cylinders, ...setup }),
    uncertaintyKpa: () => Array.from({ length: bench.cylinders }, () => 0.1),
    visit: async (id) => ({ 'visit-1': { practice: true }, real: { practice: false } })[id] ?? null,
    onPress: (spot, down) => {
      const cylinder = spotCylinder(spot);
      if (cylinder !== null) bench.controls.leakCovered[cylinder] = down;
    },
    onDisable: (cylinder, off) => bench.switchSpark(cylinder, !off),
  });
  desk.onBoard(identity);
  /** Carries on by so long [s]; with a pressure given, that is what all sensors say [kPa]. */
  const go = (seconds: number, kpa?: (timeS: number) => number): void => {
    for (const frame of bench.advance(bench.timeS + seconds)) {
      const values = kpa === undefined ? frame.kpa : frame.kpa.map(() => kpa(frame.timeS));
      const line = { kind: 'sample', sequence: 0, timeTicks: 0, counts: frame.counts } as const;
      const timeTicks = Math.round(frame.timeS * TICKS);
      desk.onSample(
        line,
        { order: 'next', use: true, missing: 0, timeTicks },
        values,
        1000 + frame.timeS * 1000,
      );
    }
  };
  go(0.1);
  const start = async (wish: Omit<CheckStart, 'acknowledged'>) => desk.start({ acknowledged: true, ...wish });
  /** Presses and lets go as the desk asks for, until it ends by itself. */
  const obey = (mostS: number): CheckResult => {
    const endS = bench.timeS + mostS;
    while (bench.timeS < endS) {
      const { running, result } = desk.state();
      if (running === null) return result!;
      if (running.button !== null && running.leftS === 0)
        desk.happen({ event: running.held ? 'up' : 'down' });
      go(0.25);
    }
    throw new Error(`The check did not end: ${JSON.stringify(desk.state().running)}`);
  };
  return {
    bench,
    desk,
    store,
    go,
    start,
    obey,
    identity,
    lose: () => {
      live = false;
      desk.onBreak();
    },
  };
}
