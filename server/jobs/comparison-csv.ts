import { fromKpa } from '../../calibration/pressure-units.ts';
import type { PressureUnit } from '../contract/jobs-values.ts';
import type { FigureComparison, Job } from '../contract/jobs-views.ts';
import { csvLine } from './csv-cell.ts';
import { machineTitle } from './search-words.ts';
import type { VisitComparison } from './visit-comparison.ts';

const COLUMNS = [
  'day',
  'machine',
  'plate',
  'before_at',
  'after_at',
  'figure',
  'cylinder',
  'unit',
  'before',
  'before_expanded',
  'after',
  'after_expanded',
  'difference',
  'difference_expanded',
  'verdict',
];
/** More than any figure is known to. */
const DECIMALS = 4;

interface Row {
  readonly figure: string;
  /** From 1; null for the engine as a whole. */
  readonly cylinder?: number;
  readonly unit: string;
  readonly compared: FigureComparison;
  readonly beforeExpanded?: number | null;
  readonly afterExpanded?: number | null;
}

/**
 * The figures of a job before and after the work, one in a line: vacuum of each cylinder, spread, idle speed,
 * roughness. Expanded uncertainties have k = 2; times are UTC (ISO 8601).
 * @param unit of the pressures
 */
export function comparisonCsv(job: Job, comparison: VisitComparison, unit: PressureUnit): string {
  const { before, after, beforeFigures, afterFigures } = comparison;
  const first = [
    job.visit.day,
    machineTitle(job.machine),
    job.machine.plate,
    new Date(before.startedAtMs).toISOString(),
    new Date(after.startedAtMs).toISOString(),
  ];
  const rows: readonly Row[] = [
    ...comparison.cylinders.map((compared, index) => ({
      figure: 'vacuum',
      cylinder: index + 1,
      unit,
      compared,
      beforeExpanded: beforeFigures.cylinders?.[index]?.vacuumExpandedKpa ?? null,
      afterExpanded: afterFigures.cylinders?.[index]?.vacuumExpandedKpa ?? null,
    })),
    {
      figure: 'spread',
      unit,
      compared: comparison.spread,
      beforeExpanded: beforeFigures.spreadExpandedKpa,
      afterExpanded: afterFigures.spreadExpandedKpa,
    },
    { figure: 'idle speed', unit: 'r/min', compared: comparison.idleSpeed },
    { figure: 'idle roughness', unit: 'of 100', compared: comparison.roughness },
  ];
  return csvLine(COLUMNS) + rows.map((row) => csvLine([...first, ...cells(row, unit)])).join('');
}

function cells(
  { figure, cylinder, unit, compared, beforeExpanded, afterExpanded }: Row,
  shown: PressureUnit,
) {
  const number = (value: number | null | undefined): number | null => {
    if (value === null || value === undefined) return null;
    return Number((unit === shown ? fromKpa(value, shown) : value).toFixed(DECIMALS));
  };
  return [
    figure,
    cylinder ?? null,
    unit,
    number(compared.before),
    number(beforeExpanded),
    number(compared.after),
    number(afterExpanded),
    number(compared.difference),
    number(compared.differenceExpanded),
    compared.verdict,
  ];
}
