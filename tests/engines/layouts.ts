/**
 * Crank angle [deg] of each cylinder's intake after cylinder 1's. A cylinder's own hose sees one pulse per
 * engine cycle whatever the layout: only the angles differ.
 *
 * Twins and the four with even spacing: published firing intervals (parallel twins 360, 180-540 and 270-450,
 * V-twins 300-420 at 60 degrees and 315-405 at 45 degrees). Others follow from the geometry.
 */
export interface Layout {
  readonly name: string;
  readonly strokes: 4 | 2;
  readonly intakeAnglesDeg: readonly number[];
}

const four = (name: string, ...intakeAnglesDeg: number[]): Layout => ({
  name,
  strokes: 4,
  intakeAnglesDeg,
});
const two = (name: string, ...intakeAnglesDeg: number[]): Layout => ({
  name,
  strokes: 2,
  intakeAnglesDeg,
});

export const LAYOUTS: readonly Layout[] = [
  four('single', 0),
  four('twin 360', 0, 360),
  four('twin 180-540', 0, 180),
  four('twin 270-450', 0, 270),
  four('V-twin 285-435', 0, 285),
  four('V-twin 300-420', 0, 300),
  four('V-twin 315-405', 0, 315),
  four('V-twin 232-488', 0, 232),
  four('triple 240', 0, 240, 480),
  four('triple 270-180-270', 0, 270, 450),
  four('four 180', 0, 180, 540, 360),
  four('crossplane four 270-180-90-180', 0, 270, 540, 450),
  four('V-four 180-270-180-90', 0, 180, 450, 630),
  four('V-four 90-270-90-270', 0, 90, 360, 450),
  four('five 144', 0, 144, 432, 576, 288),
  four('six 120', 0, 480, 240, 600, 120, 360),
  four('V-six 75-165', 0, 75, 240, 315, 480, 555),
  four('seven', 0, 102.857, 205.714, 308.571, 411.429, 514.286, 617.143),
  four('eight 90', 0, 630, 270, 180, 540, 450, 90, 360),
  two('two-stroke single', 0),
  two('two-stroke twin 180', 0, 180),
  two('two-stroke triple 120', 0, 120, 240),
  two('two-stroke four 90', 0, 90, 180, 270),
];

/** The layout of that name. Throws when there is none. */
export function layoutNamed(name: string): Layout {
  const found = LAYOUTS.find((layout) => layout.name === name);
  if (!found)
    throw new Error(`No layout is called '${name}'. There are: ${LAYOUTS.map((l) => l.name).join(', ')}`);
  return found;
}
