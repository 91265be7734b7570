import type { CalibrationProposal } from '../../../server/contract/calibration.ts';
import { cylinderStyle, lineColour } from '../../charts/cylinder-style.ts';
import { useSize } from '../../charts/element-size.ts';
import { theme } from '../../settings/theme.ts';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { fromKpa } from '../../units/pressure-unit.ts';
import { niceEnd } from './nice-end.ts';
import { ZeroAxis } from './zero-axis.tsx';

interface ResidualPictureProps {
  readonly residuals: CalibrationProposal['residuals'];
  /** One row of residuals: the gauge against the line. */
  readonly ofGauge: boolean;
}

const HEIGHT = 220;
const LEFT = 52;
const RIGHT = 14;
const TOP = 12;
const BOTTOM = 34;

/** What is left of each channel on each step, magnified: it should scatter about 0 without a bow. */
export function ResidualPicture({ residuals, ofGauge }: ResidualPictureProps) {
  const [ref, size] = useSize<HTMLDivElement>();
  const unit = chosenUnit.value;
  const width = size?.width ?? 320;
  const all = residuals.flatMap(({ residualKpa }) => residualKpa.filter((kpa) => kpa !== null));
  const end = niceEnd(fromKpa(Math.max(0.01, ...all.map(Math.abs)), unit));
  const places = residuals.map(({ atKpa }) => fromKpa(atKpa, unit));
  const [low, high] = [Math.min(...places), Math.max(...places)];
  const x = (at: number) =>
    LEFT + ((at - low) / Math.max(1e-9, high - low)) * (width - LEFT - RIGHT - 20) + 10;
  const y = (value: number) => TOP + ((end - value) / (2 * end)) * (HEIGHT - TOP - BOTTOM);
  const worst = Math.max(...all.map(Math.abs));
  const channels = residuals[0]?.residualKpa.length ?? 0;
  return (
    <figure class="calibration-picture" ref={ref}>
      <figcaption>
        {ofGauge ? 'Gauge against the line' : 'Each channel against the common line'}, by pressure, {unit.id}.
        Largest: {fromKpa(worst, unit).toPrecision(2)} {unit.id}.
      </figcaption>
      <svg
        width={width}
        height={HEIGHT}
        role="img"
        aria-label={`Residuals of ${channels} on ${residuals.length} steps`}
      >
        <ZeroAxis end={end} y={y} fromX={LEFT} toX={width - RIGHT} />
        {[low, high].map((place) => (
          <text key={place} class="picture-number" x={x(place)} y={HEIGHT - 12} text-anchor="middle">
            {Number(place.toPrecision(3))}
          </text>
        ))}
        {residuals.map(({ atKpa, residualKpa }) =>
          residualKpa.map((kpa, channel) =>
            kpa === null ? null : (
              <Mark
                key={`${atKpa} ${channel.toString()}`}
                channel={channel}
                x={x(fromKpa(atKpa, unit)) + (channel - (channels - 1) / 2) * 5}
                y={y(fromKpa(kpa, unit))}
                plain={ofGauge}
              />
            ),
          ),
        )}
      </svg>
    </figure>
  );
}

/** A small plate with the channel's number, so that colour says nothing alone. */
function Mark({ channel, x, y, plain }: { channel: number; x: number; y: number; plain: boolean }) {
  if (plain) return <circle class="picture-dot" cx={x} cy={y} r={5} />;
  const { text } = cylinderStyle(channel);
  const ground = lineColour(channel, theme.value);
  return (
    <g>
      <rect class="rail-plate" x={x - 8} y={y - 8} width={16} height={16} rx={3} fill={ground} />
      <text
        class="picture-channel"
        x={x}
        y={y + 0.5}
        fill={ground === '#ffffff' ? '#000000' : text}
        text-anchor="middle"
        dominant-baseline="central"
      >
        {channel + 1}
      </text>
    </g>
  );
}
