import { median } from 'simple-statistics';

/** One line of the accuracy table: what was promised, what was found. */
export interface AccuracyRow {
  readonly what: string;
  readonly unit: string;
  /** Over the cases, each case giving one figure. */
  readonly figure: { readonly min: number; readonly median: number; readonly max: number };
  /** Over all cases together: the figure that the bound is held against. */
  readonly pooled: number;
  readonly bound: string;
  readonly holds: boolean;
  /** The same judged on something generally known, in the same run; or what else must be known of the figure. */
  readonly reference: string;
  readonly cases: number;
  /** The case with the greatest figure, enough to make it again. */
  readonly worst: string;
}

export interface LabelledFigure {
  readonly label: string;
  readonly value: number;
}

/** Cases without a figure make the row fail: nothing reported is not nothing wrong. */
export function accuracyRow(
  what: string,
  unit: string,
  figures: readonly LabelledFigure[],
  judged: {
    readonly pooled: number;
    readonly bound: string;
    readonly holds: boolean;
    readonly reference: string;
  },
): AccuracyRow {
  const known = figures.filter((f) => Number.isFinite(f.value));
  const values = known.map((f) => f.value);
  const worst = known.reduce<LabelledFigure | null>((a, b) => (a && a.value >= b.value ? a : b), null);
  const unknown = figures.length - known.length;
  return {
    what,
    unit,
    figure: {
      min: values.length > 0 ? Math.min(...values) : Number.NaN,
      median: values.length > 0 ? median(values) : Number.NaN,
      max: values.length > 0 ? Math.max(...values) : Number.NaN,
    },
    pooled: judged.pooled,
    bound: judged.bound,
    holds: judged.holds && unknown === 0,
    reference: unknown > 0 ? `${unknown} cases gave no figure; ${judged.reference}` : judged.reference,
    cases: figures.length,
    worst: worst?.label ?? 'none',
  };
}
