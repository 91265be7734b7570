import { useMemo } from 'preact/hooks';
import { CylinderLine } from './cylinder-line.tsx';
import { lineColour, plateColours } from './cylinder-style.ts';
import type { Marker } from './marker.ts';
import { quarterPx } from './quarter-px.ts';
import type { TailPoint } from './rail-tail.ts';
import { RailTailLines } from './rail-tail-lines.tsx';

export interface RailMarkerProps {
  readonly marker: Marker;
  readonly theme: 'light' | 'dark';
  readonly toX: (kpa: number) => number;
  readonly half: number;
  readonly plateX: number;
  readonly plateWidth: number;
  readonly plateHeight: number;
  readonly trackTop: number;
  readonly trackHeight: number;
  readonly laneTop: number;
  readonly lane: number;
  /** Of this cylinder, oldest first. */
  readonly tail: readonly TailPoint[];
  readonly width: number;
}

/** A narrower marker could not be seen; wider than the uncertainty is no claim too many [px]. */
const LEAST_WIDTH = 11;
const ROOM_FOR_CENTRE = 20;

/** A cylinder on the rail: its plate, a line down to where it stands, its width in a lane of its own, its tail. */
export function RailMarker(props: RailMarkerProps) {
  const { marker, theme, toX, half, plateX, plateWidth, plateHeight, trackTop, trackHeight, laneTop, lane } =
    props;
  const { cyl, kpa, expandedKpa } = marker;
  const inRange = Math.max(-half, Math.min(half, kpa));
  const x = quarterPx(toX(inRange));
  const beyond = kpa > half ? 1 : kpa < -half ? -1 : 0;
  const colour = lineColour(cyl, theme);
  const plate = plateColours(cyl, theme);
  const barHeight = Math.max(5, lane * 0.56);
  const barTop = laneTop + (lane - barHeight) / 2;
  const exact = expandedKpa === null ? 0 : 2 * Math.abs(toX(inRange + expandedKpa) - toX(inRange));
  const barWidth = quarterPx(Math.max(LEAST_WIDTH, exact));
  const known = expandedKpa !== null;

  // What stands where it stood is not looked at again: most readings move a marker by less than can be seen.
  const drawing = useMemo(
    () => (
      <g>
        <CylinderLine
          cyl={cyl}
          theme={theme}
          x1={x}
          x2={x}
          y1={trackTop}
          y2={trackTop + trackHeight}
          width={2.5}
        />
        {known && beyond === 0 && (
          <rect
            class="rail-width"
            x={x - barWidth / 2}
            y={barTop}
            width={barWidth}
            height={barHeight}
            rx="2.5"
            fill={colour}
          />
        )}
        {!known && beyond === 0 && (
          <rect
            class="rail-width-unknown"
            x={x - 7}
            y={barTop}
            width="14"
            height={barHeight}
            rx="2.5"
            stroke={colour}
          />
        )}
        {barWidth > ROOM_FOR_CENTRE && (
          <line class="rail-centre" x1={x} x2={x} y1={barTop - 1} y2={barTop + barHeight + 1} />
        )}
        <path class="rail-leader" d={`M${plateX} ${plateHeight - 1} L${x} ${trackTop}`} />
        <rect
          class="rail-plate"
          x={plateX - plateWidth / 2}
          y="1.5"
          width={plateWidth}
          height={plateHeight - 3}
          rx="5"
          fill={plate.ground}
        />
        <text
          class="rail-plate-number"
          x={plateX}
          y={plateHeight / 2}
          fill={plate.text}
          font-size={plateHeight * 0.66}
          text-anchor="middle"
          dominant-baseline="central"
        >
          {beyond < 0 ? '‹' : ''}
          {cyl + 1}
          {beyond > 0 ? '›' : ''}
        </text>
      </g>
    ),
    [
      x,
      barWidth,
      known,
      beyond,
      plateX,
      plateWidth,
      plateHeight,
      trackTop,
      trackHeight,
      barTop,
      barHeight,
      theme,
    ],
  );
  return (
    <g>
      <RailTailLines
        tail={props.tail}
        toX={toX}
        half={half}
        width={props.width}
        top={barTop}
        height={barHeight}
        colour={colour}
      />
      {drawing}
    </g>
  );
}
