import { expect, test } from 'vitest';
import { uncalibratedBoard } from '../../calibration/board-calibration.ts';
import { MPX4115A } from '../../calibration/sensor-types.ts';
import { recoverCaptures } from '../../server/recover-captures.ts';
import { channelScalesFor } from '../../server/session/channel-scales.ts';
import { DEFAULT_SETUP } from '../../server/session/setup-change.ts';
import { header, open } from './jobs/capture-fixture.ts';
import { temporaryFolder } from './jobs/temporary-folder.ts';
import { BOARD } from './session/session-bench.ts';

test('one capture that cannot be computed does not keep the others from their figures', async () => {
  const { captures, close } = await open(temporaryFolder());
  const record = channelScalesFor(BOARD).record as object;
  const chunk = {
    timeTicks: [0, 2_000, 4_000],
    counts: [
      [400, 401, 402],
      [400, 399, 398],
    ],
  };
  const begin = (calibration: unknown) => {
    const id = captures.begin({
      ...header,
      boardId: BOARD.boardId,
      sensorTypes: BOARD.sensorTypes,
      fullScaleCounts: BOARD.fullScaleCounts,
      sampleRateHz: BOARD.sampleRateHz,
      clockRateHz: BOARD.clockRateHz,
      channelDelaysS: [0, 0.0002],
      setup: { ...DEFAULT_SETUP, cylinders: 2 },
      calibration,
    });
    captures.append(id, chunk);
    captures.interrupt(id, null);
    return id;
  };
  const sound = begin(record);
  const foreign = begin({ ...record, calibration: uncalibratedBoard('another', [MPX4115A, MPX4115A], 101) });
  const broken = begin('no calibration at all');
  const recovered: string[] = [];
  const told: string[] = [];
  await recoverCaptures(
    captures,
    async () => true,
    ({ id }) => recovered.push(id),
    (id) => told.push(id),
  );
  expect(recovered).toEqual([sound]);
  expect(told.sort()).toEqual([foreign, broken].sort());
  expect(captures.figures(foreign)).toBeNull();
  close();
});
