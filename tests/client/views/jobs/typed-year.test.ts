import { describe, expect, test } from 'vitest';
import { typedYear } from '../../../../client/views/jobs/typed-year.ts';
import { MachineFields } from '../../../../server/contract/jobs.ts';

describe('the year of a machine as it is typed', () => {
  test.each([
    ['1984', 1984],
    [' 1984 ', 1984],
    ['', null],
    ['  ', null],
    ['84', 'wrong'],
    ['198', 'wrong'],
    ['199x', 'wrong'],
    ['1984.5', 'wrong'],
    ['1e3', 'wrong'],
    ['1879', 'wrong'],
    ['2201', 'wrong'],
  ] as const)('%j is %s', (text, year) => {
    expect(typedYear(text)).toBe(year);
  });

  test('takes the years that the record takes, and no others', () => {
    const { minimum, maximum } = yearSchema();
    expect([typedYear(String(minimum)), typedYear(String(maximum))]).toEqual([minimum, maximum]);
    expect([typedYear(String(minimum - 1)), typedYear(String(maximum + 1))]).toEqual(['wrong', 'wrong']);
  });
});

function yearSchema(): { minimum: number; maximum: number } {
  const found = /"minimum":(\d+),"maximum":(\d+)/.exec(JSON.stringify(MachineFields.properties.year));
  if (found === null) throw new Error('the year of a machine has no bounds in the contract');
  return { minimum: Number(found[1]), maximum: Number(found[2]) };
}
