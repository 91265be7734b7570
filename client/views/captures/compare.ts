import type { CaptureSummary } from '../../../server/contract/captures.ts';

/** Two captures to be laid side by side. */
export interface Pair {
  readonly before: CaptureSummary | null;
  readonly after: CaptureSummary | null;
}

/**
 * The picked ones, else the newest 'after' with a gap and the newest 'before' with one that is older than it.
 * @param list newest first
 */
export function proposedPair(
  list: readonly CaptureSummary[],
  beforeId: string | null,
  afterId: string | null,
): Pair {
  const done = list.filter(({ state, spreadKpa }) => state !== 'recording' && spreadKpa !== null);
  const after =
    list.find(({ id }) => id === afterId) ??
    done.find(({ label, id }) => label === 'after' && id !== beforeId) ??
    null;
  const before =
    list.find(({ id }) => id === beforeId) ??
    done.find(
      ({ label, id, startedAtMs }) =>
        label === 'before' && id !== after?.id && (after === null || startedAtMs < after.startedAtMs),
    ) ??
    null;
  return { before, after };
}

export interface Change {
  /** after minus before, null when either is not known */
  readonly difference: number | null;
  /** Expanded uncertainty of the difference: root of the sum of squares (GUM, JCGM 100:2008, 5.1.2). */
  readonly expanded: number | null;
  /** Whether the difference is larger than its uncertainty; null when that cannot be told. */
  readonly real: boolean | null;
}

/** How far a figure moved, and whether that is more than its uncertainty. */
export function changeOf(
  before: number | null,
  after: number | null,
  beforeExpanded: number | null,
  afterExpanded: number | null,
): Change {
  if (before === null || after === null) return { difference: null, expanded: null, real: null };
  const difference = after - before;
  if (beforeExpanded === null || afterExpanded === null) return { difference, expanded: null, real: null };
  const expanded = Math.hypot(beforeExpanded, afterExpanded);
  return { difference, expanded, real: Math.abs(difference) > expanded };
}

/** The result in one sentence. */
export function comparisonWords(pair: Pair): string {
  const { before, after } = pair;
  if (before === null || after === null) {
    return 'To compare, a capture from before the work and one from after it are needed.';
  }
  if (before.cylinders !== after.cylinders)
    return 'These two captures are of different engines and cannot be compared.';
  if (before.practice !== after.practice)
    return 'One of these captures is from the practice bench, the other is not.';
  const { real, difference } = changeOf(
    before.spreadKpa,
    after.spreadKpa,
    before.spreadExpandedKpa,
    after.spreadExpandedKpa,
  );
  if (difference === null) return 'One of the captures was too short for a gap.';
  if (real === null) return 'How sure the change is cannot be told.';
  if (!real) return 'The gap has not changed by more than its uncertainty: no better and no worse.';
  return difference < 0
    ? 'The gap is smaller, by more than its uncertainty.'
    : 'The gap is larger, by more than its uncertainty.';
}
