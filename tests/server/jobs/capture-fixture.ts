import type { CaptureFigures, CaptureHeader } from '../../../server/jobs/capture-store.ts';
import { openStore, type Store } from '../../../server/jobs/open-store.ts';

export const header: CaptureHeader = {
  label: 'before',
  practice: false,
  sourceAddress: 'serial:/dev/ttyACM0',
  startedAtMs: 1_700_000_000_000,
  boardId: 'bench-1',
  firmwareVersion: '1.0.0',
  sensorTypes: ['MPX4115A', 'MPX4115A'],
  fullScaleCounts: 1023,
  sampleRateHz: 500,
  clockRateHz: 1_000_000,
  channelDelaysS: [0, 0.0001],
  setup: { cylinders: 2, toleranceKpa: 1 },
  calibration: [{ offset: 0.25 }],
  softwareVersion: '0.1.0',
  visitId: null,
};

export const figures: CaptureFigures = {
  spreadKpa: 2.5,
  spreadExpandedKpa: 0.1,
  gapsKpa: [0, 2.5],
  idleRpm: 1100,
  roughnessScore: null,
};

/** Opens, and fails the test with the reason where that is refused. */
export async function open(folder: string): Promise<Store> {
  const opened = await openStore(folder);
  if (!opened.ok) throw new Error(`${opened.code}: ${opened.detail}`);
  return opened.store;
}
