/** How the screws of a set of carburettors or throttle bodies connect its cylinders. Plain data. */
import { MAX_CYLINDERS } from '../engine-setup.ts';

/** Where a set can be balanced: at idle, on its stops, or at a raised speed that is held, on its cables. */
export type BalancePointId = 'idle' | 'raised';

export interface LinkageScrew {
  /** As it stands in a sentence after 'turn': 'the screw between 1 and 2'. */
  readonly name: string;
  /** The point at which it does its work. */
  readonly point: BalancePointId;
  /**
   * Effect of one unit of the screw on the vacuum of each cylinder, as far as the make of the set tells it: sign and
   * shape are meant, not magnitude. -1 where a unit opens the throttle, 1 where it closes it, 0 where it leaves it alone.
   */
  readonly vacuumShape: readonly number[];
  /** What it may be instead: the moves will show. */
  readonly otherShapes?: readonly (readonly number[])[];
}

export type LinkageKind =
  | 'none'
  | 'one-screw'
  | 'rack-of-four'
  | 'base-and-screws'
  | 'stops-and-cables'
  | 'own-matrix';

export interface Linkage {
  readonly kind: LinkageKind;
  readonly cylinders: number;
  readonly screws: readonly LinkageScrew[];
}

export type LinkageOutcome =
  | { readonly ok: true; readonly linkage: Linkage }
  | { readonly ok: false; readonly reason: string };

export const MAX_SCREWS = 8;
export const MAX_SCREW_NAME_LENGTH = 40;

/** Nothing to turn, or nothing known of it: no advice is given. */
export function noLinkage(cylinders: number): Linkage {
  return { kind: 'none', cylinders, screws: [] };
}

/** One screw between two throttles. */
export function oneScrewBetweenTwo(): Linkage {
  return { kind: 'one-screw', cylinders: 2, screws: [idleScrew('the screw between 1 and 2', [0, -1])] };
}

/**
 * Four in a rack: a screw within each pair and one between the pairs. Which throttle of a pair its screw moves differs from
 * make to make and shows with the first move; the outer one is the usual (common practice, no source).
 */
export function rackOfFour(): Linkage {
  return {
    kind: 'rack-of-four',
    cylinders: 4,
    screws: [
      { ...idleScrew('the screw between 1 and 2', [-1, 0, 0, 0]), otherShapes: [[0, -1, 0, 0]] },
      { ...idleScrew('the screw between 3 and 4', [0, 0, 0, -1]), otherShapes: [[0, 0, -1, 0]] },
      idleScrew('the screw between the pairs', [-1, -1, 0, 0]),
    ],
  };
}

/**
 * One throttle is moved by the idle screw alone, each other one has a screw of its own against it.
 *
 * @param cylinders 2…8
 * @param base 0-based cylinder without a screw
 * @throws RangeError for a base that is not one of the cylinders
 */
export function baseAndScrews(cylinders: number, base: number): Linkage {
  if (!(Number.isInteger(base) && base >= 0 && base < cylinders))
    throw new RangeError(`A base cylinder is 0 to ${cylinders - 1}, not ${base}`);
  return {
    kind: 'base-and-screws',
    cylinders,
    screws: each(cylinders)
      .filter((cyl) => cyl !== base)
      .map((cyl) => idleScrew(`the screw of cylinder ${cyl + 1}`, alone(cyl, cylinders))),
  };
}

/** Every throttle has a stop screw, which works at idle, and a cable with an adjuster, which works off the stops. */
export function stopsAndCables(cylinders: number): Linkage {
  return {
    kind: 'stops-and-cables',
    cylinders,
    screws: [
      ...each(cylinders).map((cyl) =>
        idleScrew(`the stop screw of cylinder ${cyl + 1}`, alone(cyl, cylinders)),
      ),
      ...each(cylinders).map(
        (cyl): LinkageScrew => ({
          name: `the cable adjuster of cylinder ${cyl + 1}`,
          point: 'raised',
          vacuumShape: alone(cyl, cylinders),
        }),
      ),
    ],
  };
}

/** A set described by the person: a name, a row of the matrix and a point for each screw. */
export function ownLinkage(
  cylinders: number,
  screws: readonly {
    readonly name: string;
    readonly shape: readonly number[];
    readonly point?: BalancePointId;
  }[],
): LinkageOutcome {
  if (!(Number.isInteger(cylinders) && cylinders >= 2 && cylinders <= MAX_CYLINDERS))
    return refused(`A set with screws to balance has 2 to ${MAX_CYLINDERS} cylinders.`);
  for (const point of ['idle', 'raised'] as const) {
    if (screws.filter((screw) => (screw.point ?? 'idle') === point).length > MAX_SCREWS)
      return refused(`Name ${MAX_SCREWS} screws or fewer.`);
  }
  const names = screws.map(({ name }) => name.trim());
  for (const [at, { shape }] of screws.entries()) {
    const name = names[at]!;
    if (name === '' || name.length > MAX_SCREW_NAME_LENGTH)
      return refused(`Give screw ${at + 1} a name of 1 to ${MAX_SCREW_NAME_LENGTH} characters.`);
    if (names.indexOf(name) !== at)
      return refused(`Give each screw a name of its own: "${name}" stands twice.`);
    if (shape.length !== cylinders || !shape.every(Number.isFinite))
      return refused(`Give "${name}" one figure for each of the ${cylinders} cylinders.`);
    if (shape.every((value) => value === shape[0]))
      return refused(`"${name}" moves all cylinders alike: it cannot balance them. Leave it out.`);
  }
  return {
    ok: true,
    linkage: {
      kind: 'own-matrix',
      cylinders,
      screws: screws.map(({ shape, point }, at) => ({
        name: withArticle(names[at]!),
        point: point ?? 'idle',
        vacuumShape: [...shape],
      })),
    },
  };
}

/** The usual make for so many cylinders, until the person chooses another. */
export function usualLinkage(cylinders: number): Linkage {
  if (cylinders < 2) return noLinkage(cylinders);
  if (cylinders === 2) return oneScrewBetweenTwo();
  return cylinders === 4 ? rackOfFour() : baseAndScrews(cylinders, 0);
}

function idleScrew(name: string, vacuumShape: readonly number[]): LinkageScrew {
  return { name, point: 'idle', vacuumShape };
}

function each(cylinders: number): number[] {
  return Array.from({ length: cylinders }, (_, cyl) => cyl);
}

function alone(moved: number, cylinders: number): number[] {
  return each(cylinders).map((cyl) => (cyl === moved ? -1 : 0));
}

function withArticle(name: string): string {
  return /^(the|my|our)\s/i.test(name) ? name : `the ${name}`;
}

function refused(reason: string): LinkageOutcome {
  return { ok: false, reason };
}
