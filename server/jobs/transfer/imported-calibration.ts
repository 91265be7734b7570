import { readBoardCalibration } from '../../../calibration/read-board-calibration.ts';
import type { WholeCalibration } from '../calibration-store.ts';
import { encodeSampleChunk } from '../sample-chunk-codec.ts';
import type { ExportRecord } from './export-format.ts';
import { DocumentProblem } from './read-document.ts';
import { samplesFromCsv } from './samples-csv.ts';

type CalibrationRecord = Extract<ExportRecord, { kind: 'calibration' }>;

/** The calibration that a record of a document holds, checked in every figure. @throws DocumentProblem */
export function importedCalibration(record: CalibrationRecord): WholeCalibration {
  const { kind: _record, calibrated, board: unchecked, chunksCsv, ...others } = record;
  const read = readBoardCalibration(unchecked);
  if (!read.ok) throw problem(`the calibration ${record.id}: ${read.reason}`);
  const chunks = chunksCsv.map((csv) => {
    const chunk = samplesFromCsv(csv);
    if (chunk === null)
      throw problem(`the samples of the calibration ${record.id} are no table of whole numbers`);
    try {
      encodeSampleChunk(chunk);
    } catch {
      throw problem(`the samples of the calibration ${record.id} are out of range`);
    }
    return chunk;
  });
  return { ...others, kind: calibrated, board: read.board, chunks };
}

const problem = (detail: string) => new DocumentProblem('import-unreadable', detail);
