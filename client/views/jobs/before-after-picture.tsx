import type { CaptureSummary } from '../../../server/contract/captures.ts';
import { lineColour } from '../../charts/cylinder-style.ts';
import { theme } from '../../settings/theme.ts';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { signedPressureText, signedText } from '../../units/figure-text.ts';

/** About as wide as a phone, so that its words can be read there. */
const WIDTH = 400;
const ROW = 74;
const LEFT = 62;
const RIGHT = 20;

/** Both captures on one scale: where each cylinder stood against the reference, before above after. */
export function BeforeAfterPicture({ before, after }: { before: CaptureSummary; after: CaptureSummary }) {
  const unit = chosenUnit.value;
  const most =
    Math.max(0.5, ...[...before.gapsKpa, ...after.gapsKpa].map((gap) => Math.abs(gap ?? 0))) * 1.15;
  const x = (kpa: number) => LEFT + ((kpa + most) / (2 * most)) * (WIDTH - LEFT - RIGHT);
  const row = (capture: CaptureSummary, name: string, top: number) => (
    <g key={name}>
      <text x={0} y={top + 38} class="picture-name">
        {name}
      </text>
      <line x1={LEFT} x2={WIDTH - RIGHT} y1={top + 34} y2={top + 34} class="picture-line" />
      {capture.gapsKpa.map(
        (gap, cyl) =>
          gap !== null && (
            <g key={`${name} ${cyl + 1}`}>
              <line
                x1={x(gap)}
                x2={x(gap)}
                y1={top + 20}
                y2={top + 48}
                stroke={lineColour(cyl, theme.value)}
                stroke-width="5"
              />
              <text x={x(gap)} y={cyl % 2 === 0 ? top + 15 : top + 64} class="picture-number">
                {cyl + 1}
              </text>
            </g>
          ),
      )}
    </g>
  );
  return (
    <figure class="before-after-picture">
      <svg viewBox={`0 0 ${WIDTH} ${2 * ROW + 26}`} role="img" aria-label={words(before, after)}>
        <line x1={x(0)} x2={x(0)} y1={4} y2={2 * ROW} class="picture-zero" />
        {row(before, 'Before', 0)}
        {row(after, 'After', ROW)}
        {[-most / 1.15, 0, most / 1.15].map((kpa) => (
          <text key={kpa} x={x(kpa)} y={2 * ROW + 18} class="picture-scale">
            {signedPressureText(kpa, 2, unit)}
          </text>
        ))}
      </svg>
      <figcaption class="field-note">
        Vacuum of each cylinder against the reference, {unit.id}. Both rows have one scale.
      </figcaption>
    </figure>
  );
}

function words(before: CaptureSummary, after: CaptureSummary): string {
  const row = ({ gapsKpa }: CaptureSummary) =>
    gapsKpa
      .map((gap, cyl) => `cylinder ${cyl + 1} ${gap === null ? 'no reading' : `${signedText(gap, 2)} kPa`}`)
      .join(', ');
  return `Before: ${row(before)}. After: ${row(after)}.`;
}
