import { COVERAGE_FACTOR } from '../../../calibration/uncertainty.ts';
import type { CheckFigure, CheckResult, CheckVerdict } from '../../contract/checks.ts';
import type { Figure } from '../../signal/check-verdict.ts';

/** What the person sees of a running check. */
export interface RunView {
  readonly step: number;
  readonly steps: number;
  readonly instruction: string;
  readonly button: string | null;
  readonly next: string | null;
  readonly held: boolean;
  readonly leftS: number | null;
  readonly figures: readonly CheckFigure[];
  readonly canFinish: boolean;
}

export const PLAIN_VIEW: RunView = {
  step: 0,
  steps: 0,
  instruction: '',
  button: null,
  next: null,
  held: false,
  leftS: null,
  figures: [],
  canFinish: false,
};

export type RunEvent = 'down' | 'up' | 'next';

/** What a check found, apart from where and when. */
export type Finding = Pick<
  CheckResult,
  'verdict' | 'summary' | 'whatToDo' | 'rows' | 'hints' | 'picture' | 'blipShares'
>;

/** One guided check. Times are session times [s]; samples are in its record when it is asked. */
export interface CheckRun {
  happen(event: RunEvent, timeS: number): void;
  view(timeS: number): RunView;
  /** It has all that it needs and ends by itself. */
  done(timeS: number): boolean;
  finish(): Finding;
}

/** A named figure with its expanded uncertainty, k = 2; none where it is not known. */
export function figure(name: string, value: number | Figure | null, unit: string): CheckFigure[] {
  if (value === null) return [];
  const [middle, expanded] =
    typeof value === 'number' ? [value, null] : [value.value, COVERAGE_FACTOR * value.standardUncertainty];
  if (!Number.isFinite(middle)) return [];
  return [
    { name, value: middle, expanded: expanded !== null && Number.isFinite(expanded) ? expanded : null, unit },
  ];
}

/** A share and its uncertainty in percent; null stays null. */
export function inPercent(share: Figure | null): Figure | null {
  return share === null
    ? null
    : { value: 100 * share.value, standardUncertainty: 100 * share.standardUncertainty };
}

/** From so many standard uncertainties on a verdict is called sure, and very sure. */
const SURE_SIGMAS = 3;
const VERY_SURE_SIGMAS = 6;
/** Beyond this the figure itself means nothing any more. */
const MOST_SIGMAS_SHOWN = 99;

/** How sure a verdict is, in words. @param strength standard uncertainties between what was found and the limit */
export function sigmas(strength: number | null): string | null {
  if (strength === null || !Number.isFinite(strength)) return null;
  const word = strength >= VERY_SURE_SIGMAS ? 'very sure' : strength >= SURE_SIGMAS ? 'sure' : 'fairly sure';
  return `${word}: ${Math.min(MOST_SIGMAS_SHOWN, strength).toFixed(1)} standard uncertainties from the limit`;
}

/** Found if anything is, and not told as long as something is not. */
export function overall(verdicts: readonly CheckVerdict[]): CheckVerdict {
  if (verdicts.includes('found')) return 'found';
  return verdicts.length === 0 || verdicts.includes('cannot-tell') ? 'cannot-tell' : 'not-found';
}

export const NOTHING_MORE: Pick<CheckResult, 'hints' | 'picture' | 'blipShares'> = {
  hints: [],
  picture: null,
  blipShares: null,
};

/** 1-based names, joined: '1 and 3'. */
export function named(list: readonly string[]): string {
  return list.length < 2 ? list.join('') : `${list.slice(0, -1).join(', ')} and ${list.at(-1)}`;
}
