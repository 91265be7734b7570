import { describe, expect, test } from 'vitest';
import { PracticeBench } from '../../../server/practice/practice-bench.ts';
import { Capture } from '../../../server/session/capture.ts';
import { channelScalesFor } from '../../../server/session/channel-scales.ts';
import { newInstrument } from '../../../server/session/new-instrument.ts';
import { CaptureRecomputation } from '../../../server/session/recompute-capture.ts';
import { DEFAULT_SETUP, engineSetup } from '../../../server/session/setup-change.ts';
import { MemoryCaptureStore } from './memory-capture-store.ts';
import { BOARD } from './session-bench.ts';

const SEED = 31;
const identity = { ...BOARD, conversionTicks: 0 };
const setup = { ...DEFAULT_SETUP, cylinders: 2 };

/** A capture of the practice engine with samples lost on the way. */
function captured(lost: (n: number) => boolean) {
  const bench = new PracticeBench({ layout: 'twin-180', seed: SEED, sampleRateHz: identity.sampleRateHz });
  const store = new MemoryCaptureStore();
  const scales = channelScalesFor(identity);
  const engine = engineSetup(setup, 2);
  const capture = new Capture({
    store,
    label: 'before',
    identity,
    scales,
    setup,
    practice: false,
    sourceAddress: 'serial:test',
    startedAtMs: 0,
    softwareVersion: '0',
    visitId: null,
    instrument: newInstrument(engine, [0, 0], scales),
  });
  let missing = 0;
  bench.advance(20).forEach((frame, n) => {
    if (lost(n)) {
      missing++;
      return;
    }
    const kpa = frame.counts.map((counts, channel) => scales.absoluteKpa(channel, counts, 0));
    const line = { kind: 'sample', sequence: n % 65_536, timeTicks: 0, counts: frame.counts } as const;
    capture.take(line, Math.round(frame.timeS * identity.clockRateHz), kpa, missing);
    missing = 0;
  });
  return { store, capture };
}

describe('computing a capture again from its raw samples', () => {
  test.each<[string, (n: number) => boolean]>([
    ['all samples', () => false],
    ['single lost samples', (n) => n % 97 === 0],
    ['a hole of 50 ms', (n) => n > 4_000 && n < 4_025],
    ['a hole of two seconds', (n) => n > 3_000 && n < 4_000],
  ])(`gives the figures that were shown while it ran: %s (seed ${SEED})`, (_what, lost) => {
    const { store, capture } = captured(lost);
    const live = capture.figures();
    capture.interrupt();
    const header = store.header(capture.id)!;
    // As it comes from disk.
    const again = new CaptureRecomputation(JSON.parse(JSON.stringify(header)), newInstrument);
    for (const chunk of store.chunks(capture.id)) again.push(chunk);
    expect(live.spreadKpa).not.toBeNull();
    expect(again.figures()).toEqual(live);
  });
});
