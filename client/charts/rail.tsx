import { useMemo, useRef } from 'preact/hooks';
import { setup, toleranceKpa } from '../link/latest.ts';
import { figures } from '../link/shown.ts';
import { lessMotion } from '../settings/motion.ts';
import { theme } from '../settings/theme.ts';
import { chosenUnit } from '../units/chosen-unit.ts';
import { useSize } from './element-size.ts';
import { plotInset } from './plot-inset.ts';
import { quarterPx } from './quarter-px.ts';
import { RailMarker } from './rail-marker.tsx';
import { railX, railXInside } from './rail-place.ts';
import { type TailPoint, tailsOf, tailWith } from './rail-tail.ts';
import { RailTicks } from './rail-ticks.tsx';
import { halfWidthKpa, markers } from './rail-view.ts';
import { spreadLabels } from './spread-labels.ts';

const TICK_ROW = 30;
const NO_TAIL: readonly TailPoint[] = [];

/** One scale for all cylinders, zoomed round the reference. */
export function Rail({ large = false, numbers = true }: { large?: boolean; numbers?: boolean }) {
  const [ref, size] = useSize<HTMLDivElement>();
  return (
    <div class="rail" ref={ref}>
      {size !== null && size.width > 0 && (
        <RailDrawing width={size.width} height={size.height} large={large} numbers={numbers} />
      )}
    </div>
  );
}

function RailDrawing({
  width,
  height,
  large,
  numbers,
}: {
  width: number;
  height: number;
  large: boolean;
  numbers: boolean;
}) {
  const tail = useRef<readonly TailPoint[]>(NO_TAIL);
  const shown = markers.value;
  tail.current = lessMotion.value ? NO_TAIL : tailWith(tail.current, shown, performance.now());
  const tails = useMemo(() => tailsOf(tail.current), [tail.current]);

  const inset = plotInset(width);
  const half = halfWidthKpa.value;
  const tolerance = toleranceKpa.value;
  const cylinders = setup.value?.cylinders ?? Math.max(1, shown.length);
  const place = { half, width, inset };

  const plateWidth = Math.min(large ? 84 : 52, (width - 8) / Math.max(1, cylinders) - 4);
  const plateHeight = Math.min(large ? 68 : 40, Math.max(26, height * 0.24));
  const leader = Math.max(10, Math.min(26, height * 0.1));
  const trackTop = plateHeight + leader;
  const trackHeight = Math.max(24, height - trackTop - (numbers ? TICK_ROW : 0));
  const lane = trackHeight / cylinders;

  const clamped = shown.map(({ kpa }) => railXInside(kpa, place));
  const plates = spreadLabels(clamped, plateWidth + 4, 2, width - 2);
  const inside = figures.value?.verdict === 'inside';

  return (
    <svg width={width} height={height} viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
      <rect class="rail-track" x={inset} y={trackTop} width={width - 2 * inset} height={trackHeight} />
      <rect
        class={inside ? 'rail-band rail-band-equal' : 'rail-band'}
        x={railX(-tolerance, place)}
        y={trackTop}
        width={railX(tolerance, place) - railX(-tolerance, place)}
        height={trackHeight}
      />
      <RailTicks
        {...place}
        unit={chosenUnit.value}
        trackTop={trackTop}
        trackHeight={trackHeight}
        numbersAt={numbers ? height - 6 : null}
      />
      {shown.map((marker, index) => (
        <RailMarker
          key={marker.cyl}
          marker={marker}
          theme={theme.value}
          place={place}
          plateX={quarterPx(plates[index]!)}
          plateWidth={plateWidth}
          plateHeight={plateHeight}
          trackTop={trackTop}
          trackHeight={trackHeight}
          laneTop={trackTop + lane * marker.cyl}
          lane={lane}
          tail={tails.get(marker.cyl) ?? NO_TAIL}
        />
      ))}
      <rect class="rail-frame" x={inset} y={trackTop} width={width - 2 * inset} height={trackHeight} />
    </svg>
  );
}
