/**
 * Cylinder drop test: the cylinders of an idling engine are disabled one after another, and each one's share of the work
 * is ranked by the speed that is lost. One that changes nothing does no work.
 *
 * The moments are found in the speed itself. Which cylinder was meant follows from the order, and, where one changed
 * nothing, from the pace or from marks set by hand.
 */
import type { CheckVerdict } from '../check-verdict.ts';
import { median } from '../median.ts';
import { dropSlots } from './drop-slots.ts';
import { type SpeedDrop, speedDrops } from './speed-drops.ts';

export interface DropTestInput {
  /** Middle of each engine cycle, rising [s]. */
  readonly timeS: readonly number[];
  readonly speedRpm: readonly number[];
  readonly recordStartS: number;
  readonly recordEndS: number;
  /** 0-based cylinders in the order in which they were disabled. */
  readonly order: readonly number[];
  /** About when each of them was disabled [s], in the same order; good to a few seconds. Default: not known. */
  readonly marksS?: readonly number[];
}

export interface CylinderDrop {
  readonly cylinder: number;
  /** 'found': it does no work or too little. */
  readonly verdict: CheckVerdict;
  readonly state: 'works' | 'weak' | 'dead' | null;
  /** Speed lost while it was disabled, and its standard uncertainty [r/min]. */
  readonly lossRpm: number | null;
  readonly uncertaintyRpm: number | null;
  /** The engine stopped without it. */
  readonly stalled: boolean;
  readonly disabledS: { readonly startS: number; readonly endS: number } | null;
  /** 1 for the cylinder that contributes most. */
  readonly rank: number | null;
  /** Loss over the median loss of all. */
  readonly strength: number | null;
  readonly whatToDo: string;
}

export interface DropTestResult {
  readonly cylinders: readonly CylinderDrop[];
  /** Drops that could not be given to a cylinder. */
  readonly drops: readonly SpeedDrop[];
  readonly reason: 'no-drops' | 'rhythm-unclear' | 'too-many-drops' | 'engine-stopped' | null;
  readonly whatToDo: string;
}

/** A cylinder with less than this share of the median loss is weak. */
const WEAK_SHARE = 0.5;
/** One of n cylinders that works at all costs more than this part of the speed over n; the idle by itself does less. */
const LEAST_LOSS = 0.1;
/** Marks are believed to be this near to the drop, before and after [s]. */
const MARK_BEFORE_S = 3;
const MARK_AFTER_S = 4;
/** A turn lasts no longer than this [s]. */
const LONGEST_STANDSTILL_S = 12;

/** @throws RangeError when marks and order are not equally many, or the order names a cylinder twice */
export function cylinderDrop(input: DropTestInput): DropTestResult {
  const { order, marksS } = input;
  if (new Set(order).size !== order.length) throw new RangeError('A cylinder is disabled once');
  if (marksS !== undefined && marksS.length !== order.length)
    throw new RangeError(`${order.length} cylinders and ${marksS.length} marks`);
  const drops = speedDrops(input.timeS, input.speedRpm, input.recordEndS).filter(
    ({ baseRpm, droppedRpm }) => baseRpm - droppedRpm > (LEAST_LOSS / order.length) * baseRpm,
  );
  if (drops.length > order.length && marksS === undefined) return untold('too-many-drops', drops, order);
  if (drops.length < order.length && drops.some((drop) => leftStanding(drop, input)))
    return untold('engine-stopped', drops, order);
  // An engine does not idle with more than half of its cylinders dead.
  if (drops.length < order.length / 2) return untold('no-drops', drops, order);
  const slots = marksS === undefined ? byRhythm(drops, input) : byMarks(drops, marksS);
  if (slots === null) return untold('rhythm-unclear', drops, order);
  const given = order.map((_, slot) => drops.find((_drop, at) => slots[at] === slot) ?? null);
  const losses = given.map((drop) => (drop === null ? 0 : drop.baseRpm - drop.droppedRpm));
  const usual = median(losses.filter((_, slot) => given[slot] !== null)) ?? Number.NaN;
  const cylinders = order.map((cylinder, slot): CylinderDrop => {
    const drop = given[slot]!;
    const share = losses[slot]! / usual;
    const state = drop === null ? 'dead' : share < WEAK_SHARE ? 'weak' : 'works';
    return {
      cylinder,
      verdict: state === 'works' ? 'not-found' : 'found',
      state,
      lossRpm: losses[slot]!,
      uncertaintyRpm: drop?.uncertaintyRpm ?? null,
      stalled: drop?.stalled ?? false,
      disabledS: drop === null ? null : { startS: drop.startS, endS: drop.endS },
      rank: 1 + losses.filter((loss) => loss > losses[slot]!).length,
      strength: share,
      whatToDo: WHAT_TO_DO[state],
    };
  });
  const bad = cylinders.filter(({ state }) => state !== 'works');
  return {
    cylinders: cylinders.sort((a, b) => a.cylinder - b.cylinder),
    drops: [],
    reason: null,
    whatToDo: bad.length === 0 ? ALL_WORK : bad[0]!.whatToDo,
  };
}

/** Stopped for good, or for so long that another cylinder's turn may have passed. */
function leftStanding({ startS, endS, stalled }: SpeedDrop, { recordEndS }: DropTestInput): boolean {
  return stalled && (endS >= recordEndS || endS - startS > LONGEST_STANDSTILL_S);
}

function byRhythm(drops: readonly SpeedDrop[], input: DropTestInput): number[] | null {
  return dropSlots({
    startsS: drops.map(({ startS }) => startS),
    slots: input.order.length,
    headS: drops[0]!.startS - input.recordStartS,
    tailS: input.recordEndS - drops.at(-1)!.endS,
    lengthS: drops.reduce((sum, { startS, endS }) => sum + endS - startS, 0) / drops.length,
  });
}

/** Each drop goes to the nearest mark that is near enough; -1 for none. */
function byMarks(drops: readonly SpeedDrop[], marksS: readonly number[]): number[] {
  return drops.map(({ startS }) => {
    let best = -1;
    marksS.forEach((markS, slot) => {
      const near = startS > markS - MARK_BEFORE_S && startS < markS + MARK_AFTER_S;
      if (near && (best < 0 || Math.abs(startS - markS) < Math.abs(startS - marksS[best]!))) best = slot;
    });
    return best;
  });
}

const CAUTION = 'Ground every plug lead that is taken off, never let it hang; mind fuel, fans and hot parts.';
const ALL_WORK = 'Every cylinder does its work: look for the trouble elsewhere.';
const WHAT_TO_DO: Record<'works' | 'weak' | 'dead', string> = {
  works: ALL_WORK,
  weak: 'It does less than half of what the others do: check plug, cap and lead, compression, valve clearance and its pilot jet.',
  dead: `Nothing changed without it: check its spark, its fuel and its compression. ${CAUTION}`,
};

const REASONS = {
  'no-drops': `Too little loss of speed was seen: disable each cylinder for about five seconds, with five seconds between. ${CAUTION}`,
  'rhythm-unclear':
    'It cannot be told which cylinder changed nothing: repeat at an even pace, or mark each cylinder as you disable it.',
  'engine-stopped':
    'The engine stopped before all cylinders were tried: raise the idle a little, start it again and repeat the test.',
  'too-many-drops':
    'The speed fell more often than cylinders were disabled: settle the idle and repeat, or mark each cylinder as you disable it.',
} as const;

function untold(
  reason: keyof typeof REASONS,
  drops: readonly SpeedDrop[],
  order: readonly number[],
): DropTestResult {
  const cylinders = [...order]
    .sort((a, b) => a - b)
    .map(
      (cylinder): CylinderDrop => ({
        cylinder,
        verdict: 'cannot-tell',
        state: null,
        lossRpm: null,
        uncertaintyRpm: null,
        stalled: false,
        disabledS: null,
        rank: null,
        strength: null,
        whatToDo: REASONS[reason],
      }),
    );
  return { cylinders, drops, reason, whatToDo: REASONS[reason] };
}
