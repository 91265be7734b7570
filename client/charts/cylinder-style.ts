/**
 * How each cylinder looks: a colour of the Okabe–Ito set (Okabe & Ito, 'Color Universal Design', 2008), which people
 * with any colour vision can tell apart, and a dash of its own, so that colour never says anything alone.
 */

export interface CylinderStyle {
  readonly colour: string;
  /** On a dark ground. Only black has to change. */
  readonly colourOnDark: string;
  /** Text on a plate of that colour. */
  readonly text: string;
  /** Too pale for a white ground: drawn with an edge in ink. */
  readonly pale: boolean;
  /** Line and space lengths [px]; empty is a full line. */
  readonly dash: readonly number[];
}

const BLACK = '#000000';
const WHITE = '#ffffff';

const style = (
  colour: string,
  text: string,
  dash: readonly number[],
  rest: Partial<CylinderStyle> = {},
): CylinderStyle => ({ colour, colourOnDark: colour, text, pale: false, dash, ...rest });

const STYLES: readonly CylinderStyle[] = [
  style('#0072B2', WHITE, []),
  style('#D55E00', BLACK, [11, 5]),
  style('#009E73', BLACK, [3, 4]),
  style('#CC79A7', BLACK, [13, 4, 3, 4]),
  style('#E69F00', BLACK, [22, 5], { pale: true }),
  style('#56B4E9', BLACK, [6, 4], { pale: true }),
  style(BLACK, WHITE, [13, 4, 3, 4, 3, 4], { colourOnDark: WHITE }),
  style('#F0E442', BLACK, [2, 7], { pale: true }),
];

/** @param cyl 0-based */
export function cylinderStyle(cyl: number): CylinderStyle {
  return STYLES[cyl % STYLES.length]!;
}

export function lineColour(cyl: number, theme: 'light' | 'dark'): string {
  const { colour, colourOnDark } = cylinderStyle(cyl);
  return theme === 'dark' ? colourOnDark : colour;
}

/** Colours of a plate: ground and text. Black turns round on a dark ground. */
export function plateColours(cyl: number, theme: 'light' | 'dark'): { ground: string; text: string } {
  const { colour, colourOnDark, text } = cylinderStyle(cyl);
  const ground = theme === 'dark' ? colourOnDark : colour;
  return { ground, text: ground === WHITE ? BLACK : text };
}
