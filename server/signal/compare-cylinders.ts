/** What the readings of all cylinders say together: the spread, whether they are equal, and when that will be known. */
import { COVERAGE_FACTOR } from '../../calibration/uncertainty.ts';
import type { BalanceLevels } from './balance-levels.ts';
import { cyclesNeeded } from './balance-verdict.ts';
import type { CalibrationUncertainty } from './calibration-uncertainty.ts';
import type { EngineSetup } from './engine-setup.ts';
import { expanded } from './expanded.ts';
import type { CylinderReading, Reading, Settling, Verdict } from './reading.ts';

const WORST_FIRST: readonly Settling[] = ['moving', 'settling', 'steady'];

/**
 * @param cylinders readings of all cylinders; those without a gap take no part
 * @param levels that the readings were taken from
 */
export function compareCylinders(
  cylinders: readonly CylinderReading[],
  levels: BalanceLevels,
  terms: Pick<EngineSetup, 'reference' | 'toleranceKpa'>,
  calibration: CalibrationUncertainty,
): Pick<Reading, 'spreadKpa' | 'spreadExpandedKpa' | 'settling' | 'verdict' | 'cyclesNeeded'> {
  const compared = cylinders.filter((one) => one.gapKpa !== null);
  return {
    ...(compared.length > 1
      ? spread(cylinders, levels, calibration)
      : { spreadKpa: null, spreadExpandedKpa: null }),
    settling: worstSettling(compared.length > 0 ? compared : cylinders),
    verdict: overallVerdict(compared),
    cyclesNeeded: cyclesToDecide(cylinders, levels, terms, calibration),
  };
}

/** Largest minus smallest, from paired cycles of those two. */
function spread(
  cylinders: readonly CylinderReading[],
  levels: BalanceLevels,
  calibration: CalibrationUncertainty,
): Pick<Reading, 'spreadKpa' | 'spreadExpandedKpa'> {
  let high = -1;
  let low = -1;
  cylinders.forEach((one, cylinder) => {
    if (one.gapKpa === null) return;
    if (high < 0 || one.gapKpa > cylinders[high]!.gapKpa!) high = cylinder;
    if (low < 0 || one.gapKpa < cylinders[low]!.gapKpa!) low = cylinder;
  });
  const { standardError } = levels.difference(high, low);
  return {
    spreadKpa: cylinders[high]!.gapKpa! - cylinders[low]!.gapKpa!,
    spreadExpandedKpa: expanded(standardError, calibration.between(high, low, levels.absoluteKpa())),
  };
}

/** Until the slowest cylinder that is not sure is decided; null when nothing is open, or that cannot be told. */
function cyclesToDecide(
  cylinders: readonly CylinderReading[],
  levels: BalanceLevels,
  { reference, toleranceKpa }: Pick<EngineSetup, 'reference' | 'toleranceKpa'>,
  calibration: CalibrationUncertainty,
): number | null {
  let most = 0;
  for (const [cylinder, one] of cylinders.entries()) {
    if (one.gapKpa === null || one.verdict !== 'not-sure') continue;
    const { standardError, count } = levels.gaps[cylinder]!.level();
    if (standardError === null) return null;
    const needed = cyclesNeeded(
      one.gapKpa,
      toleranceKpa,
      count,
      COVERAGE_FACTOR * standardError,
      COVERAGE_FACTOR * calibration.gap(cylinder, reference, levels.absoluteKpa()),
    );
    if (needed === null) return null;
    most = Math.max(most, needed);
  }
  return most > 0 ? most : null;
}

function worstSettling(cylinders: readonly CylinderReading[]): Settling {
  return WORST_FIRST.find((state) => cylinders.some((one) => one.settling === state)) ?? 'settling';
}

function overallVerdict(compared: readonly CylinderReading[]): Verdict {
  if (compared.length < 2) return 'not-sure';
  if (compared.some((one) => one.verdict === 'outside')) return 'outside';
  return compared.every((one) => one.verdict === 'inside') ? 'inside' : 'not-sure';
}
