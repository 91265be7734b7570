import { uncalibratedBoard } from '../../../calibration/board-calibration.ts';
import { MPX4115A } from '../../../calibration/sensor-types.ts';
import type { CheckResult } from '../../../server/contract/checks.ts';
import type { NewCalibration } from '../../../server/jobs/calibration-store.ts';

/** What a check of a closed part found. */
export const holdResult: Omit<CheckResult, 'id'> = {
  kind: 'hold',
  madeAtMs: 1_700_000_000_000,
  practice: false,
  visitId: null,
  softwareVersion: '1.2.3',
  cylinders: 4,
  verdict: 'found',
  summary: 'The part does not hold.',
  whatToDo: 'Renew it.',
  rows: [
    {
      name: 'On hose 1',
      verdict: 'found',
      strength: null,
      whatToDo: 'Renew it.',
      figures: [{ name: 'lost', value: 3, expanded: 0.2, unit: 'kPa' }],
    },
  ],
  hints: [],
  picture: null,
  blipShares: null,
};

/** A matching of two channels from so many samples. */
export const matchingOf = (boardId: string, rows: number): NewCalibration => ({
  kind: 'matching',
  madeAtMs: 1_717_150_000_000,
  technician: 'K. Test',
  expiresAtMs: 1_732_700_000_000,
  practice: false,
  softwareVersion: '0.1.0',
  board: uncalibratedBoard(boardId, [MPX4115A, MPX4115A], 101.3),
  evidence: { steps: [{ fromS: 0, toS: 3, commonKpa: 40, residualKpa: [0.01, -0.01] }] },
  samples: {
    timeTicks: Array.from({ length: rows }, (_, row) => row * 2_000),
    counts: [0, 1].map((channel) => Array.from({ length: rows }, (_, row) => 500 + channel + (row % 7))),
  },
});
