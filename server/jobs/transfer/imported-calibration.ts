import { readBoardCalibration } from '../../../calibration/read-board-calibration.ts';
import type { WholeCalibration } from '../calibration-store.ts';
import type { ExportRecord } from './export-format.ts';
import { importedSamples } from './imported-samples.ts';
import { DocumentProblem } from './read-document.ts';

type CalibrationRecord = Extract<ExportRecord, { kind: 'calibration' }>;

/** The calibration that a record of a document holds, checked in every figure. @throws DocumentProblem */
export function importedCalibration(record: CalibrationRecord): WholeCalibration {
  const { kind: _record, calibrated, board: unchecked, chunksCsv, ...others } = record;
  const read = readBoardCalibration(unchecked);
  if (!read.ok)
    throw new DocumentProblem('import-unreadable', `the calibration ${record.id}: ${read.reason}`);
  const chunks = chunksCsv.map((csv) => importedSamples(csv, `the calibration ${record.id}`));
  return { ...others, kind: calibrated, board: read.board, chunks };
}
