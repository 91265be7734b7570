import { encodeLine } from '../../../firmware-protocol/encode-line.ts';
import type { IdentityLine } from '../../../firmware-protocol/lines.ts';
import type { ByteSource, ByteStreamHandlers, SourceKind } from '../../../server/board/byte-source.ts';
import type { LiveMessage } from '../../../server/contract/live.ts';
import type { Setup } from '../../../server/contract/setup.ts';
import type { MeasuringInstrument } from '../../../server/session/measuring-parts.ts';
import { MeasuringSession } from '../../../server/session/measuring-session.ts';
import { DEFAULT_SETUP } from '../../../server/session/setup-change.ts';
import type { EngineSetup } from '../../../server/signal/engine-setup.ts';
import type { BalanceTerms } from '../../../server/signal/instrument.ts';
import type { Reading } from '../../../server/signal/reading.ts';
import { ManualClock } from '../manual-clock.ts';
import { MemoryCaptureStore } from './memory-capture-store.ts';

export const BOARD: IdentityLine = {
  kind: 'identity',
  protocolVersion: 1,
  boardId: 'bench-1',
  firmwareVersion: '1.2',
  sensorTypes: ['MPX4115A', 'MPX4115A'],
  sampleRateHz: 500,
  clockRateHz: 1_000_000,
  conversionTicks: 200,
  fullScaleCounts: 1023,
};

/** A source whose cable the test holds in its hand. */
export class HandSource implements ByteSource {
  readonly kind: SourceKind;
  readonly address: string;
  identity: IdentityLine;
  handlers: ByteStreamHandlers | null = null;
  sequence = 0;
  timeTicks = 0;
  opens = 0;

  constructor(kind: SourceKind = 'serial', identity = BOARD) {
    this.kind = kind;
    this.address = kind === 'practice' ? 'practice' : `${kind}:hand`;
    this.identity = identity;
  }

  async open(handlers: ByteStreamHandlers): ReturnType<ByteSource['open']> {
    this.opens++;
    this.handlers = handlers;
    return {
      ok: true,
      stream: {
        write: (text) => {
          if (text.startsWith('i')) this.say(`\n${encodeLine(this.identity)}`);
        },
        close: async () => {
          this.handlers = null;
        },
      },
    };
  }

  say(text: string): void {
    this.handlers?.onBytes(Buffer.from(text, 'latin1'));
  }

  /** Samples whose count on each channel is that of `counts`, by default the sequence number modulo 1000. */
  samples(count: number, counts?: (sequence: number) => number[]): void {
    const { sensorTypes } = this.identity;
    for (let n = 0; n < count; n++) {
      this.lose(1);
      this.say(
        encodeLine({
          kind: 'sample',
          sequence: this.sequence,
          timeTicks: this.timeTicks % 2 ** 32,
          counts: counts?.(this.sequence) ?? sensorTypes.map(() => this.sequence % 1000),
        }),
      );
    }
  }

  /** Samples that the board took and that never arrive. */
  lose(count: number): void {
    this.sequence = (this.sequence + count) % 65_536;
    this.timeTicks += (count * this.identity.clockRateHz) / this.identity.sampleRateHz;
  }

  reset(): void {
    this.sequence = 0;
    this.timeTicks = 0;
  }

  unplug(): void {
    const { handlers } = this;
    this.handlers = null;
    handlers?.onClose({ code: 'source-unplugged', detail: 'pulled' });
  }
}

/** An instrument that writes down what it is told; its reading shows how many rows it has seen. */
export class NotedInstrument implements MeasuringInstrument {
  readonly setup: EngineSetup;
  terms: BalanceTerms;
  readonly delaysS: readonly number[];
  readonly rows: { timeS: number; kpa: number[] }[] = [];
  breaks = 0;

  constructor(setup: EngineSetup, delaysS: readonly number[]) {
    this.setup = setup;
    this.terms = setup;
    this.delaysS = delaysS;
  }

  push(timeS: number, absoluteKpa: ArrayLike<number>): void {
    this.rows.push({ timeS, kpa: Array.from(absoluteKpa) });
  }

  breakInSamples(): void {
    this.breaks++;
  }

  setTerms(terms: BalanceTerms): void {
    this.terms = terms;
  }

  reading(): Reading {
    const cylinder = {
      sensor: 'ok',
      vacuumKpa: 30,
      vacuumSdKpa: 0.2,
      vacuumStandardErrorKpa: 0.01,
      vacuumExpandedKpa: 0.02,
      gapKpa: 0.5,
      gapExpandedKpa: 0.02,
      verdict: 'inside',
      settling: 'steady',
      lastCycleKpa: 30,
      peakVacuumKpa: 60,
      pulseDepthKpa: 40,
      cycles: this.rows.length,
      missedPulsesPerMinute: 0,
    } as const;
    return {
      timeS: this.rows.at(-1)?.timeS ?? null,
      engine: { running: true, speedRpm: 1000, idleRpm: 1000, cycles: this.rows.length },
      cylinders: Array.from({ length: this.setup.cylinders }, () => cylinder),
      spreadKpa: this.rows.length,
      spreadExpandedKpa: 0.1,
      settling: 'steady',
      verdict: 'inside',
      cyclesNeeded: null,
      swappedHoses: null,
      roughness: {
        score: 10,
        cycleLengthCovPercent: 1,
        choppinessPercent: 1,
        hunting: null,
        perCylinder: Array.from({ length: this.setup.cylinders }, () => ({
          depthCovPercent: 1,
          missedPerMinute: 0,
          lowestNormalisedCycle: 0.9,
        })),
      },
    };
  }

  folded() {
    return [];
  }
}

/** A whole session on a clock that the test turns, with parts that write down what happens. */
export function sessionBench(setup: Partial<Setup> | null = {}) {
  const clock = new ManualClock();
  const store = new MemoryCaptureStore();
  const messages: LiveMessage[] = [];
  const listeners: ((message: LiveMessage) => void)[] = [];
  const instruments: NotedInstrument[] = [];
  const saved: Setup[] = [];
  const logged: string[] = [];
  const session = new MeasuringSession({
    clock,
    store,
    setup: setup === null ? null : { ...DEFAULT_SETUP, cylinders: 2, ...setup },
    softwareVersion: '0.0.0-test',
    publish: (message) => {
      messages.push(structuredClone(message));
      for (const listen of listeners) listen(message);
    },
    saveSetup: (changed) => saved.push(changed),
    log: (text) => logged.push(text),
    // A tenth of a kPa per count, so that a test can read pressures at a glance.
    scalesFor: () => ({
      absoluteKpa: (_channel, counts) => counts / 10,
      record: { kind: 'test' },
      instrumentOptions: () => ({}),
      trouble: null,
    }),
    newInstrument: (engine, delaysS) => {
      const instrument = new NotedInstrument(engine, delaysS);
      instruments.push(instrument);
      return instrument;
    },
  });
  const ofType = <T extends LiveMessage['type']>(type: T) =>
    messages.filter((message): message is Extract<LiveMessage, { type: T }> => message.type === type);
  return { clock, store, session, messages, listeners, instruments, saved, logged, ofType };
}
