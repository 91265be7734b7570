import { CylinderLine } from './cylinder-line.tsx';
import { lineColour, plateColours } from './cylinder-style.ts';
import { still } from './still.ts';

export interface MarkerDrawingProps {
  readonly cyl: number;
  readonly theme: 'light' | 'dark';
  /** Where it stands [px]; at the end of the scale where it is beyond. */
  readonly x: number;
  /** -1 beyond the left end, 1 beyond the right one, 0 on the scale. */
  readonly beyond: -1 | 0 | 1;
  /** Whether it is known how sure the place is. */
  readonly known: boolean;
  readonly barWidth: number;
  readonly barTop: number;
  readonly barHeight: number;
  readonly plateX: number;
  readonly plateWidth: number;
  readonly plateHeight: number;
  readonly trackTop: number;
  readonly trackHeight: number;
}

const ROOM_FOR_CENTRE = 20;

/** A marker at its place, all in pixels. */
export const MarkerDrawing = still((props: MarkerDrawingProps) => {
  const { cyl, theme, x, beyond, known, barWidth, barTop, barHeight } = props;
  const { plateX, plateWidth, plateHeight, trackTop, trackHeight } = props;
  const colour = lineColour(cyl, theme);
  const plate = plateColours(cyl, theme);
  return (
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
  );
});
