import { theme } from '../settings/theme.ts';
import { CylinderLine } from './cylinder-line.tsx';
import { plateColours } from './cylinder-style.ts';

/** A cylinder's number on its colour, with its line beside it. */
export function CylinderPlate({ cyl }: { cyl: number }) {
  const { ground, text } = plateColours(cyl, theme.value);
  return (
    <span class="plate-line">
      <svg class="plate" viewBox="0 0 34 30" aria-hidden="true">
        <rect class="rail-plate" x="1.5" y="1.5" width="31" height="27" rx="5" fill={ground} />
        <text
          class="rail-plate-number"
          x="17"
          y="15.5"
          font-size="20"
          fill={text}
          text-anchor="middle"
          dominant-baseline="central"
        >
          {cyl + 1}
        </text>
      </svg>
      <svg class="plate-dash" viewBox="0 0 34 8" aria-hidden="true">
        <CylinderLine cyl={cyl} theme={theme.value} x1={1} x2={33} y1={4} y2={4} width={3} />
      </svg>
      <span class="unseen">Cylinder {cyl + 1}</span>
    </span>
  );
}
