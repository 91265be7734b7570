import type { PastCalibration } from '../../../server/contract/calibration.ts';
import { CylinderLine } from '../../charts/cylinder-line.tsx';
import { lineColour } from '../../charts/cylinder-style.ts';
import { useSize } from '../../charts/element-size.ts';
import { theme } from '../../settings/theme.ts';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { fromKpa } from '../../units/pressure-unit.ts';
import { dayWords } from './calibration-words.ts';
import { niceEnd } from './nice-end.ts';
import { ZeroAxis } from './zero-axis.tsx';

const HEIGHT = 230;
const LEFT = 52;
const RIGHT = 30;
const TOP = 12;
const BOTTOM = 34;

/** How the correction of each channel went from calibration to calibration: what a sensor drifts. */
export function DriftPicture({ calibrations }: { calibrations: readonly PastCalibration[] }) {
  const [ref, size] = useSize<HTMLDivElement>();
  const unit = chosenUnit.value;
  const width = size?.width ?? 320;
  const inTime = [...calibrations].reverse();
  const channels = inTime.at(-1)?.channels.length ?? 0;
  const corrections = inTime.flatMap((one) =>
    one.channels.map(({ correctionKpa }) => fromKpa(correctionKpa, unit)),
  );
  const end = niceEnd(Math.max(0.01, ...corrections.map(Math.abs)));
  // One after the other and not by date: two on one afternoon would fall together.
  const x = (at: number) => LEFT + 10 + (at / Math.max(1, inTime.length - 1)) * (width - LEFT - RIGHT - 20);
  const y = (value: number) => TOP + ((end - value) / (2 * end)) * (HEIGHT - TOP - BOTTOM);
  const first = inTime[0];
  const last = inTime.at(-1);
  return (
    <figure class="calibration-picture" ref={ref}>
      <figcaption>
        Correction of each channel at a usual idle, {unit.id}, from calibration to calibration.
      </figcaption>
      <svg
        width={width}
        height={HEIGHT}
        role="img"
        aria-label={`Corrections of ${channels} channels over ${inTime.length} calibrations`}
      >
        <ZeroAxis end={end} y={y} fromX={LEFT} toX={width - RIGHT} />
        {Array.from({ length: channels }, (_, channel) => {
          const points = inTime.flatMap((one, at) => {
            const own = one.channels[channel];
            return own === undefined ? [] : [{ x: x(at), y: y(fromKpa(own.correctionKpa, unit)) }];
          });
          return (
            <g key={channel}>
              {points.slice(1).map((point, at) => (
                <CylinderLine
                  key={point.x}
                  cyl={channel}
                  theme={theme.value}
                  x1={points[at]!.x}
                  y1={points[at]!.y}
                  x2={point.x}
                  y2={point.y}
                  width={2.5}
                />
              ))}
              {points.map((point) => (
                <circle
                  key={point.x}
                  class="rail-plate"
                  cx={point.x}
                  cy={point.y}
                  r={4}
                  fill={lineColour(channel, theme.value)}
                />
              ))}
              {points.length > 0 && (
                <text
                  class="picture-number"
                  x={width - RIGHT + 8}
                  y={points.at(-1)!.y}
                  dominant-baseline="central"
                >
                  {channel + 1}
                </text>
              )}
            </g>
          );
        })}
        {first !== undefined && (
          <text class="picture-number" x={LEFT} y={HEIGHT - 10}>
            {dayWords(first.madeAtMs)}
          </text>
        )}
        {last !== undefined && inTime.length > 1 && (
          <text class="picture-number" x={width - RIGHT} y={HEIGHT - 10} text-anchor="end">
            {dayWords(last.madeAtMs)}
          </text>
        )}
      </svg>
    </figure>
  );
}
