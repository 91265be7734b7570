/**
 * A screw of the throttle linkage: how far one turn inward opens each throttle, in turns of the idle screw; of a cable
 * adjuster, how far it takes up the slack of each cable [turns].
 */
export interface BalanceScrew {
  /** Which of its kind: 'between 1 and 2', 'of cylinder 1'. */
  readonly name: string;
  readonly what: 'balance screw' | 'stop screw' | 'cable adjuster';
  readonly opens: readonly number[];
}

export interface EngineLayout {
  readonly id: string;
  readonly name: string;
  readonly cylinders: number;
  /** Crank angle [deg, 0…720] of each cylinder's intake after cylinder 1's. Firing angles are the same. */
  readonly intakeAnglesDeg: readonly number[];
  readonly balanceScrews: readonly BalanceScrew[];
  /** How far each throttle is out of adjustment when practice starts [turns of the idle screw]. */
  readonly mismatchTurns: readonly number[];
  /** How far the adjuster of each cable is out when practice starts [turns]; missing where one shaft turns all throttles. */
  readonly cableMismatchTurns?: readonly number[];
  readonly displacementPerCylinderCc: number;
  /** Crankshaft, flywheel and clutch [kg m²]. */
  readonly inertiaKgM2: number;
}

/** @throws RangeError for an id that is not in `LAYOUTS` */
export function layoutById(id: string): EngineLayout {
  const layout = LAYOUTS.find((known) => known.id === id);
  if (layout === undefined) {
    throw new RangeError(`No layout '${id}': choose one of ${LAYOUTS.map((known) => known.id).join(', ')}`);
  }
  return layout;
}

export const DEFAULT_LAYOUT_ID = 'twin-180';

function balance(name: string, opens: readonly number[]): BalanceScrew {
  return { name, what: 'balance screw', opens };
}

function alone(moved: number, cylinders: number): number[] {
  return Array.from({ length: cylinders }, (_, cyl) => (cyl === moved ? 1 : 0));
}

// Firing intervals: common tables of firing orders; a V-twin of angle V on one crank pin fires at 360-V and
// 360+V. Bore, stroke and inertia are invented figures of a usual size.
const twin = (id: string, name: string, secondDeg: number, inertiaKgM2 = 0.06): EngineLayout => ({
  id,
  name,
  cylinders: 2,
  intakeAnglesDeg: [0, secondDeg],
  balanceScrews: [balance('between 1 and 2', [0, 1])],
  mismatchTurns: [0, -0.55],
  displacementPerCylinderCc: 400,
  inertiaKgM2,
});

/** One throttle is moved by the idle screw alone; each other one has a screw of its own against it. */
const independentScrews = (cylinders: number, base: number): BalanceScrew[] =>
  Array.from({ length: cylinders }, (_, cyl) => cyl)
    .filter((cyl) => cyl !== base)
    .map((moved) => balance(`of cylinder ${moved + 1}`, alone(moved, cylinders)));

/** Two pairs, a screw within each, and one that moves the first pair against the second. */
const PAIRED_SCREWS: readonly BalanceScrew[] = [
  balance('between 1 and 2', [1, 0, 0, 0]),
  balance('between 3 and 4', [0, 0, 0, 1]),
  balance('between the pairs', [1, 1, 0, 0]),
];

/** Each throttle rests on a stop screw and is pulled by a cable with an adjuster. */
const stopsAndCables = (cylinders: number): BalanceScrew[] =>
  (['stop screw', 'cable adjuster'] as const).flatMap((what) =>
    Array.from({ length: cylinders }, (_, cyl) => ({
      name: `of cylinder ${cyl + 1}`,
      what,
      opens: alone(cyl, cylinders),
    })),
  );

const four = (id: string, name: string, intakeAnglesDeg: readonly number[]): EngineLayout => ({
  id,
  name,
  cylinders: 4,
  intakeAnglesDeg,
  balanceScrews: PAIRED_SCREWS,
  mismatchTurns: [0.35, -0.2, 0, -0.45],
  displacementPerCylinderCc: 250,
  inertiaKgM2: 0.055,
});

export const LAYOUTS: readonly EngineLayout[] = [
  {
    id: 'single',
    name: 'Single',
    cylinders: 1,
    intakeAnglesDeg: [0],
    balanceScrews: [],
    mismatchTurns: [0],
    displacementPerCylinderCc: 400,
    inertiaKgM2: 0.07,
  },
  twin('twin-360', 'Parallel twin, 360° crank', 360),
  twin('twin-180', 'Parallel twin, 180° crank', 180),
  twin('twin-270', 'Parallel twin, 270° crank', 270),
  {
    ...twin('twin-180-cables', 'Parallel twin, 180° crank, stop screws and cables', 180),
    balanceScrews: stopsAndCables(2),
    cableMismatchTurns: [0, 0.6],
  },
  twin('v-twin-45', 'V-twin, 45°', 315, 0.06),
  twin('v-twin-52-offset', 'V-twin, 52°, offset crank pins', 232),
  twin('v-twin-60', 'V-twin, 60°', 300),
  twin('v-twin-75', 'V-twin, 75°', 285),
  twin('v-twin-90', 'V-twin, 90°', 270),
  {
    id: 'triple-120',
    name: 'In-line three, 120° crank',
    cylinders: 3,
    intakeAnglesDeg: [0, 480, 240],
    balanceScrews: independentScrews(3, 0),
    mismatchTurns: [0, 0.3, -0.4],
    displacementPerCylinderCc: 300,
    inertiaKgM2: 0.055,
  },
  four('four-inline', 'In-line four', [0, 180, 540, 360]),
  four('four-crossplane', 'In-line four, crossplane crank', [0, 450, 270, 540]),
  four('v-four-180', 'V-four, 90°, 180° crank', [0, 180, 450, 630]),
  four('v-four-360', 'V-four, 90°, 360° crank', [0, 90, 360, 450]),
  {
    id: 'flat-six',
    name: 'Flat six',
    cylinders: 6,
    intakeAnglesDeg: [0, 480, 240, 360, 120, 600],
    balanceScrews: independentScrews(6, 0),
    mismatchTurns: [0, 0.3, -0.35, 0.15, -0.2, 0.4],
    displacementPerCylinderCc: 270,
    inertiaKgM2: 0.1,
  },
  {
    id: 'v-eight',
    name: 'V-eight, crossplane crank',
    cylinders: 8,
    intakeAnglesDeg: [0, 630, 270, 180, 450, 360, 540, 90],
    balanceScrews: independentScrews(8, 0),
    mismatchTurns: [0, 0.25, -0.3, 0.15, -0.2, 0.35, -0.4, 0.1],
    displacementPerCylinderCc: 450,
    inertiaKgM2: 0.18,
  },
];
