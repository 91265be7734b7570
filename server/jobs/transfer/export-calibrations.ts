import type { CalibrationRecords } from '../calibration-records.ts';
import type { ExportRecord } from './export-format.ts';
import { plainJson } from './plain-json.ts';
import { samplesToCsv } from './samples-csv.ts';

type SensorsRecord = Extract<ExportRecord, { kind: 'sensors' }>;

/** Every calibration that can be read, in the order in which they were made, and what was entered of sensors. */
export function* calibrationsAndSensors(calibrations: CalibrationRecords): Generator<ExportRecord> {
  for (const id of calibrations.ids()) {
    const found = calibrations.get(id);
    if (found === null) continue;
    const { kind: calibrated, ...others } = found;
    const chunksCsv = calibrations.samples(id).map(samplesToCsv);
    yield { kind: 'calibration', calibrated, ...others, chunksCsv };
  }
  for (const { boardId, enteredAtMs } of calibrations.boardsWithSensors()) {
    const sensors = plainJson(calibrations.sensors(boardId)) as SensorsRecord['sensors'];
    yield { kind: 'sensors', boardId, enteredAtMs, sensors };
  }
}
