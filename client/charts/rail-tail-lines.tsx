import { useMemo } from 'preact/hooks';
import { quarterPx } from './quarter-px.ts';
import { type TailPoint, tailStrength } from './rail-tail.ts';

export interface RailTailLinesProps {
  /** Of one cylinder, oldest first. */
  readonly tail: readonly TailPoint[];
  readonly toX: (kpa: number) => number;
  readonly half: number;
  readonly width: number;
  readonly top: number;
  readonly height: number;
  readonly colour: string;
}

/** Where a cylinder stood in the last seconds, paler the longer ago; newest first, so that a line keeps its element. */
export function RailTailLines({ tail, toX, half, width, top, height, colour }: RailTailLinesProps) {
  return useMemo(
    () => (
      <g>
        {[...tail].reverse().map(({ kpa }, later) => {
          const x = quarterPx(toX(Math.max(-half, Math.min(half, kpa))));
          return (
            <line
              key={later}
              x1={x}
              x2={x}
              y1={top}
              y2={top + height}
              stroke={colour}
              stroke-width="3"
              opacity={0.4 * tailStrength(later)}
            />
          );
        })}
      </g>
    ),
    [tail.at(-1)?.atMs, tail.length, half, width, top, height, colour],
  );
}
