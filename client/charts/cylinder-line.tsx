import { cylinderStyle, lineColour } from './cylinder-style.ts';

const EDGE = 2;

export interface CylinderLineProps {
  readonly cyl: number;
  readonly theme: 'light' | 'dark';
  readonly x1: number;
  readonly x2: number;
  readonly y1: number;
  readonly y2: number;
  readonly width: number;
}

/** A straight piece of a cylinder's line; a pale colour on white gets an edge of ink. */
export function CylinderLine({ cyl, theme, width, ...place }: CylinderLineProps) {
  const { dash, pale } = cylinderStyle(cyl);
  const dashes = dash.join(' ');
  return (
    <>
      {pale && theme === 'light' && (
        <line class="line-edge" {...place} stroke-width={width + EDGE} stroke-dasharray={dashes} />
      )}
      <line {...place} stroke={lineColour(cyl, theme)} stroke-width={width} stroke-dasharray={dashes} />
    </>
  );
}
