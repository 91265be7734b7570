/** Child of the kill test: captures with the program's own capture, telling of each sample before it is taken. */
import type { IdentityLine, SampleLine } from '../../../../firmware-protocol/lines.ts';
import { Capture } from '../../../../server/session/capture.ts';
import type { ChannelScales, MeasuringInstrument } from '../../../../server/session/measuring-parts.ts';
import { open } from '../capture-fixture.ts';
import { manifoldSignal } from '../manifold-signal.ts';
import { say } from './say.ts';

const SAMPLE_RATE_HZ = 500;
const CLOCK_RATE_HZ = 1_000_000;
/** The board's time runs this much faster than ours. */
const HASTE = 50;

const store = await open(process.argv[2]!);
const signal = manifoldSignal({
  seed: Number(process.argv[3]),
  seconds: 60,
  channels: 4,
  sampleRateHz: SAMPLE_RATE_HZ,
  noiseKpa: 0.3,
  clockRateHz: CLOCK_RATE_HZ,
  timeJitterTicks: 0,
});
const identity = {
  kind: 'identity',
  boardId: 'bench-1',
  firmwareVersion: '1.0.0',
  sensorTypes: ['MPX4115A', 'MPX4115A', 'MPX4115A', 'MPX4115A'],
  fullScaleCounts: 1023,
  sampleRateHz: SAMPLE_RATE_HZ,
  clockRateHz: CLOCK_RATE_HZ,
} as unknown as IdentityLine;
const nothing = { push() {}, breakInSamples() {} } as unknown as MeasuringInstrument;
const capture = new Capture({
  store: store.captures,
  label: 'before',
  identity,
  scales: { absoluteKpa: () => 0, record: null, trouble: null } as unknown as ChannelScales,
  setup: { cylinders: 4 } as never,
  practice: false,
  sourceAddress: 'tcp:test',
  startedAtMs: Date.now(),
  softwareVersion: '0.1.0',
  visitId: null,
  instrument: nothing,
});
say({ ready: true, captureId: capture.id });
let taken = 0;
setInterval(() => {
  const due = Math.ceil((SAMPLE_RATE_HZ * HASTE) / 100);
  say({ taken: taken + due });
  for (let index = 0; index < due; index++) {
    const at = taken % signal.timeTicks.length;
    const counts = signal.counts.map((column) => column[at]!);
    const line = { kind: 'sample', counts } as unknown as SampleLine;
    capture.take(line, (taken * CLOCK_RATE_HZ) / SAMPLE_RATE_HZ, [0, 0, 0, 0]);
    taken++;
  }
}, 10);
