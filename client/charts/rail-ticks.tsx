import { signedText } from '../units/figure-text.ts';
import type { PressureUnit } from '../units/pressure-unit.ts';
import { type RailPlace, railX } from './rail-place.ts';
import { PX_PER_TICK, railTicks } from './rail-scale.ts';
import { still } from './still.ts';

export interface RailTicksProps extends RailPlace {
  readonly unit: PressureUnit;
  readonly trackTop: number;
  readonly trackHeight: number;
  /** Baseline of the numbers [px], or null for none. */
  readonly numbersAt: number | null;
}

/** The scale of the rail; it changes when the range, the unit or the room does, not with each reading. */
export const RailTicks = still((props: RailTicksProps) => {
  const { half, unit, inset, width, trackTop, trackHeight, numbersAt } = props;
  const { ticks, decimals } = railTicks(half, unit, (width - 2 * inset) / PX_PER_TICK);
  return (
    <g>
      {ticks.map(({ kpa, value }) => {
        const x = railX(kpa, props);
        return (
          <g key={value}>
            <line
              class={value === 0 ? 'rail-zero' : 'rail-tick'}
              x1={x}
              x2={x}
              y1={trackTop}
              y2={trackTop + trackHeight + 6}
            />
            {numbersAt !== null && (
              <text class="rail-number" x={x} y={numbersAt} text-anchor="middle">
                {signedText(value, decimals)}
              </text>
            )}
          </g>
        );
      })}
    </g>
  );
});
