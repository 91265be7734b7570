import { lineColour } from './cylinder-style.ts';
import type { Marker } from './marker.ts';
import { MarkerDrawing } from './marker-drawing.tsx';
import { quarterPx } from './quarter-px.ts';
import { type RailPlace, railX, railXInside } from './rail-place.ts';
import type { TailPoint } from './rail-tail.ts';
import { RailTailLines } from './rail-tail-lines.tsx';

export interface RailMarkerProps {
  readonly marker: Marker;
  readonly theme: 'light' | 'dark';
  readonly place: RailPlace;
  readonly plateX: number;
  readonly plateWidth: number;
  readonly plateHeight: number;
  readonly trackTop: number;
  readonly trackHeight: number;
  readonly laneTop: number;
  readonly lane: number;
  /** Of this cylinder, oldest first. */
  readonly tail: readonly TailPoint[];
}

/** A narrower marker could not be seen; wider than the uncertainty is no claim too many [px]. */
const LEAST_WIDTH = 11;

/** A cylinder on the rail: its plate, a line down to where it stands, its width in a lane of its own, its tail. */
export function RailMarker({ marker, theme, place, laneTop, lane, tail, ...others }: RailMarkerProps) {
  const { cyl, kpa, expandedKpa } = marker;
  const barHeight = Math.max(5, lane * 0.56);
  const barTop = laneTop + (lane - barHeight) / 2;
  const exact = expandedKpa === null ? 0 : 2 * (railX(expandedKpa, place) - railX(0, place));
  return (
    <g>
      <RailTailLines {...place} tail={tail} top={barTop} height={barHeight} colour={lineColour(cyl, theme)} />
      <MarkerDrawing
        cyl={cyl}
        theme={theme}
        x={quarterPx(railXInside(kpa, place))}
        beyond={kpa > place.half ? 1 : kpa < -place.half ? -1 : 0}
        known={expandedKpa !== null}
        barWidth={quarterPx(Math.max(LEAST_WIDTH, exact))}
        barTop={barTop}
        barHeight={barHeight}
        {...others}
      />
    </g>
  );
}
