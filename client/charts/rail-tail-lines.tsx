import { quarterPx } from './quarter-px.ts';
import { type RailPlace, railXInside } from './rail-place.ts';
import { type TailPoint, tailStrength } from './rail-tail.ts';
import { still } from './still.ts';

export interface RailTailLinesProps extends RailPlace {
  /** Of one cylinder, oldest first; the same array as long as nothing was added. */
  readonly tail: readonly TailPoint[];
  readonly top: number;
  readonly height: number;
  readonly colour: string;
}

/** Where a cylinder stood in the last seconds, paler the longer ago; newest first, so that a line keeps its element. */
export const RailTailLines = still((props: RailTailLinesProps) => (
  <g>
    {[...props.tail].reverse().map(({ kpa }, later) => {
      const x = quarterPx(railXInside(kpa, props));
      return (
        <line
          key={later}
          x1={x}
          x2={x}
          y1={props.top}
          y2={props.top + props.height}
          stroke={props.colour}
          stroke-width="3"
          opacity={0.4 * tailStrength(later)}
        />
      );
    })}
  </g>
));
