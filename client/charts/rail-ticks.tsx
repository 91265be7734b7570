import { useMemo } from 'preact/hooks';
import { signedText } from '../units/figure-text.ts';
import type { PressureUnit } from '../units/pressure-unit.ts';
import { PX_PER_TICK, railTicks } from './rail-scale.ts';

export interface RailTicksProps {
  readonly half: number;
  readonly unit: PressureUnit;
  readonly inset: number;
  readonly width: number;
  readonly trackTop: number;
  readonly trackHeight: number;
  /** Baseline of the numbers [px], or null for none. */
  readonly numbersAt: number | null;
}

/** The scale of the rail; it changes when the range, the unit or the room does, not with each reading. */
export function RailTicks({ half, unit, inset, width, trackTop, trackHeight, numbersAt }: RailTicksProps) {
  return useMemo(() => {
    const { ticks, decimals } = railTicks(half, unit, (width - 2 * inset) / PX_PER_TICK);
    const toX = (kpa: number) => inset + ((kpa + half) / (2 * half)) * (width - 2 * inset);
    return (
      <g>
        {ticks.map(({ kpa, value }) => (
          <g key={value}>
            <line
              class={value === 0 ? 'rail-zero' : 'rail-tick'}
              x1={toX(kpa)}
              x2={toX(kpa)}
              y1={trackTop}
              y2={trackTop + trackHeight + 6}
            />
            {numbersAt !== null && (
              <text class="rail-number" x={toX(kpa)} y={numbersAt} text-anchor="middle">
                {signedText(value, decimals)}
              </text>
            )}
          </g>
        ))}
      </g>
    );
  }, [half, unit, inset, width, trackTop, trackHeight, numbersAt]);
}
