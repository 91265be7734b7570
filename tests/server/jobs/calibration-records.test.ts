import { describe, expect, test } from 'vitest';
import { uncalibratedBoard } from '../../../calibration/board-calibration.ts';
import { MPX4115A } from '../../../calibration/sensor-types.ts';
import type { NewCalibration } from '../../../server/jobs/calibration-store.ts';
import { migrate } from '../../../server/jobs/migrate.ts';
import { ALL_MIGRATIONS } from '../../../server/jobs/migrations/all-migrations.ts';
import { DATABASE_FILE } from '../../../server/jobs/open-store.ts';
import { openSqliteDatabase } from '../../../server/jobs/sqlite-database.ts';
import { open } from './capture-fixture.ts';
import { matchingOf } from './found-fixture.ts';
import { temporaryFolder } from './temporary-folder.ts';

const samples = (rows: number) => matchingOf('bench-1', rows).samples;
const calibration = (more: Partial<NewCalibration> = {}): NewCalibration => ({
  ...matchingOf('bench-1', 10),
  ...more,
});

describe('calibrations in the data file', () => {
  test('are there again after the file was closed, with every figure and every raw count', async () => {
    const folder = temporaryFolder();
    const first = await open(folder);
    const made = calibration({ samples: samples(70_000) });
    const id = first.calibrations.append(made);
    first.close();
    const { calibrations, close } = await open(folder);
    const { samples: raw, ...kept } = made;
    expect(calibrations.get(id)).toEqual({ id, ...kept });
    const chunks = calibrations.samples(id);
    expect(chunks.flatMap((chunk) => chunk.timeTicks)).toEqual(raw.timeTicks);
    expect(chunks.flatMap((chunk) => chunk.counts[1])).toEqual(raw.counts[1]);
    close();
  });

  test('of a board come newest first and those of another board not at all', async () => {
    const { calibrations, close } = await open(temporaryFolder());
    const older = calibrations.append(calibration());
    const other = calibrations.append(
      calibration({ board: uncalibratedBoard('bench-2', [MPX4115A], 101.3), samples: samples(3) }),
    );
    // A clock that was set back makes no calibration older than one made before it.
    const newer = calibrations.append(calibration({ madeAtMs: 1 }));
    expect(calibrations.ofBoard('bench-1').map(({ id }) => id)).toEqual([newer, older]);
    expect(calibrations.ofBoard('bench-2').map(({ id }) => id)).toEqual([other]);
    expect(calibrations.ofBoard('bench-3')).toEqual([]);
    expect(calibrations.boards()).toEqual(['bench-1', 'bench-2']);
    close();
  });

  test('cannot be changed or deleted by anything that has the file open', async () => {
    const { calibrations, database, close } = await open(temporaryFolder());
    const id = calibrations.append(calibration());
    for (const statement of [
      "UPDATE calibrations SET board_id = 'bench-2'",
      'DELETE FROM calibration_chunks',
      'UPDATE calibration_chunks SET chunk_no = 5',
      'DELETE FROM calibrations',
    ])
      expect(() => database.exec(statement)).toThrow('stays as it is');
    expect(calibrations.get(id)?.board.boardId).toBe('bench-1');
    close();
  });

  test('that were damaged are told of and left out, the one before counts', async () => {
    const { calibrations, database, close } = await open(temporaryFolder());
    const sound = calibrations.append(calibration());
    const damaged = calibrations.append(calibration());
    database.exec('DROP TRIGGER calibrations_no_update');
    database.exec(`UPDATE calibrations SET board_json = substr(board_json, 1, 90) WHERE id = '${damaged}'`);
    const told: string[] = [];
    expect(calibrations.ofBoard('bench-1', (id) => told.push(id)).map(({ id }) => id)).toEqual([sound]);
    expect(told).toEqual([damaged]);
    expect(calibrations.get(damaged)).toBeNull();
    close();
  });

  test('with the board id of another in their column are not believed', async () => {
    const { calibrations, database, close } = await open(temporaryFolder());
    calibrations.append(calibration());
    database.exec('DROP TRIGGER calibrations_no_update');
    database.exec(`UPDATE calibrations SET board_id = 'bench-2'`);
    expect(calibrations.ofBoard('bench-2')).toEqual([]);
    close();
  });

  test('are kept whole or not at all', async () => {
    const { calibrations, close } = await open(temporaryFolder());
    const broken = { timeTicks: [0, 1], counts: [[1, 2], [3]] };
    expect(() => calibrations.append(calibration({ samples: broken }))).toThrow(RangeError);
    expect(calibrations.boards()).toEqual([]);
    close();
  });

  test('find their place in a file of a version that knew none', async () => {
    const folder = temporaryFolder();
    const older = openSqliteDatabase(`${folder}/${DATABASE_FILE}`);
    migrate(older, ALL_MIGRATIONS.slice(0, 3));
    older.close();
    const { calibrations, close } = await open(folder);
    expect(calibrations.ofBoard('bench-1')).toEqual([]);
    const id = calibrations.append(calibration());
    expect(calibrations.get(id)?.technician).toBe('K. Test');
    close();
  });
});

test('sensor types that were entered are kept with their serial numbers and replaced as a whole', async () => {
  const { calibrations, close } = await open(temporaryFolder());
  const own = { ...MPX4115A, name: 'BAR1', source: 'entered by hand' };
  calibrations.setSensors('bench-1', [{ channel: 1, type: own, serial: 'A-7' }], 1);
  calibrations.setSensors('bench-2', [{ channel: 0, type: null, serial: 'B-1' }], 1);
  expect(calibrations.sensors('bench-1')).toEqual([{ channel: 1, type: own, serial: 'A-7' }]);
  calibrations.setSensors('bench-1', [{ channel: 0, type: null, serial: null }], 2);
  expect(calibrations.sensors('bench-1')).toEqual([{ channel: 0, type: null, serial: null }]);
  expect(calibrations.sensors('bench-2')).toEqual([{ channel: 0, type: null, serial: 'B-1' }]);
  close();
});
