import { describe, expect, test } from 'vitest';
import { comparisonCsv } from '../../../server/jobs/comparison-csv.ts';
import { visitComparison } from '../../../server/jobs/visit-comparison.ts';
import { open } from './capture-fixture.ts';
import { finishedJob } from './report-fixture.ts';
import { temporaryFolder } from './temporary-folder.ts';

async function table(unit: 'kPa' | 'mmHg') {
  const store = await open(temporaryFolder());
  const { visitId } = await finishedJob(store);
  const job = (await store.records.job(visitId))!;
  const comparison = (await visitComparison(store.captures, visitId))!;
  store.close();
  const [head, ...lines] = comparisonCsv(job, comparison, unit).trimEnd().split('\r\n');
  const names = head!.split(',');
  return lines.map((line) => {
    const cells = line.split(',');
    expect(cells).toHaveLength(names.length);
    return Object.fromEntries(names.map((name, index) => [name, cells[index]!]));
  });
}

describe('the figures of a job for a spreadsheet', () => {
  test('have a line for each cylinder and for the engine, with uncertainties and what was made of them', async () => {
    const rows = await table('kPa');
    expect(rows.map(({ figure, cylinder }) => `${figure} ${cylinder}`.trim())).toEqual([
      'vacuum 1',
      'vacuum 2',
      'vacuum 3',
      'vacuum 4',
      'spread',
      'idle speed',
      'idle roughness',
    ]);
    // From the job: 25.9 kPa before, 29.9 after; standard errors of 0.05 each, 2 x sqrt(2) x 0.05 = 0.1414.
    expect(rows[2]).toEqual({
      day: '2024-05-31',
      machine: 'Invented Works Twin 650 1983',
      plate: 'UF 123',
      before_at: '2024-05-31T10:06:40.000Z',
      after_at: '2024-05-31T12:06:40.000Z',
      figure: 'vacuum',
      cylinder: '3',
      unit: 'kPa',
      before: '25.9',
      before_expanded: '0.2',
      after: '29.9',
      after_expanded: '0.2',
      difference: '4',
      difference_expanded: '0.1414',
      verdict: 'larger',
    });
    expect(rows[4]).toMatchObject({
      before: '6.2',
      before_expanded: '0.31',
      after: '0.6',
      verdict: 'smaller',
    });
    // No uncertainty is kept of these: empty, not 0.
    expect(rows[5]).toMatchObject({ unit: 'r/min', before: '1240', before_expanded: '', after: '1105' });
  });

  test('are in the unit of the shop', async () => {
    const rows = await table('mmHg');
    // NIST SP 811, B.8: 1 mmHg is 0.1333224 kPa.
    expect(Number(rows[2]!.before)).toBeCloseTo(25.9 / 0.1333224, 2);
    expect(rows[2]!.unit).toBe('mmHg');
    expect(rows[5]).toMatchObject({ unit: 'r/min', before: '1240' });
  });
});
