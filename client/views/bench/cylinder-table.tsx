import type { CylinderReading } from '../../../server/contract/live.ts';
import { CylinderPlate } from '../../charts/cylinder-plate.tsx';
import { setup } from '../../link/latest.ts';
import { figures } from '../../link/shown.ts';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { figureText, plusMinusPressure, pressureText, signedPressureText } from '../../units/figure-text.ts';
import { useDecimals } from '../../units/use-decimals.ts';
import { sensorSentence } from '../shell/source-words.ts';
import { settlingWords } from './verdict-words.ts';

/** Every cylinder's figures. */
export function CylinderTable() {
  const count = setup.value?.cylinders ?? figures.value?.cylinders.length ?? 0;
  const unit = chosenUnit.value;
  const readings = figures.value?.cylinders ?? [];
  // One length for a whole column: what the least sure of them bears.
  const vacuumDecimals = useDecimals(largest(readings.map(({ vacuumExpandedKpa }) => vacuumExpandedKpa)));
  const gapDecimals = useDecimals(largest(readings.map(({ gapExpandedKpa }) => gapExpandedKpa)));
  const swapped = figures.value?.swappedHoses ?? null;
  return (
    <section class="panel cylinders" aria-labelledby="cylinders-name">
      <h2 class="panel-name" id="cylinders-name">
        Cylinders
      </h2>
      <table class="cylinder-table">
        <thead>
          <tr>
            <th scope="col">
              <span class="unseen">Cylinder</span>
            </th>
            <th scope="col">Vacuum, {unit.id}</th>
            {count > 1 && <th scope="col">Against reference</th>}
            <th scope="col">Pulse depth varies</th>
          </tr>
        </thead>
        <tbody>
          {Array.from({ length: count }, (_, cyl) => (
            <CylinderRow
              key={cyl}
              cyl={cyl}
              alone={count === 1}
              reading={readings[cyl] ?? null}
              vacuumDecimals={vacuumDecimals}
              gapDecimals={gapDecimals}
            />
          ))}
        </tbody>
      </table>
      {swapped !== null && (
        <p class="panel-note" data-testid="swapped-hoses">
          The hoses of cylinders {hosePairs(swapped)} look swapped. Follow each hose from its port to the
          board. If they are right, the firing order in Set-up is not this engine’s.
        </p>
      )}
    </section>
  );
}

/** '1 and 4, or 2 and 3,' where the order of the pulses leaves it open. */
function hosePairs(pairs: readonly (readonly [number, number])[]): string {
  const words = pairs.map(([one, other]) => `${one} and ${other}`);
  return words.length === 1 ? words[0]! : `${words.join(', or ')},`;
}

interface CylinderRowProps {
  readonly cyl: number;
  readonly alone: boolean;
  readonly reading: CylinderReading | null;
  readonly vacuumDecimals: number;
  readonly gapDecimals: number;
}

function CylinderRow({ cyl, alone, reading, vacuumDecimals, gapDecimals }: CylinderRowProps) {
  const unit = chosenUnit.value;
  const isReference = setup.value?.reference === cyl + 1;
  const sentence = reading === null ? '' : sensorSentence(reading.sensor);
  const depth = figures.value?.roughness.depthCovPercent[cyl] ?? null;
  const gapKpa = reading?.gapKpa ?? null;
  const expandedKpa = reading?.gapExpandedKpa ?? null;
  return (
    <>
      <tr class={sentence === '' ? '' : 'has-sentence'}>
        <th scope="row">
          <CylinderPlate cyl={cyl} />
        </th>
        <td>
          <span class="cell-figure" data-testid={`cyl-${cyl + 1}-vacuum`} data-kpa={reading?.vacuumKpa ?? ''}>
            {pressureText(reading?.vacuumKpa ?? null, vacuumDecimals, unit)}
          </span>
        </td>
        {!alone && (
          <td>
            <span class="cell-figure cell-gap" data-testid={`cyl-${cyl + 1}-gap`} data-kpa={gapKpa ?? ''}>
              {signedPressureText(gapKpa, gapDecimals, unit)}
            </span>
            <span class="cell-more">
              {isReference
                ? 'reference'
                : gapKpa !== null && expandedKpa !== null
                  ? plusMinusPressure(expandedKpa, gapDecimals, unit)
                  : ''}
              {reading !== null && gapKpa !== null && reading.settling !== 'steady' && !isReference
                ? `, ${settlingWords(reading.settling)}`
                : ''}
            </span>
          </td>
        )}
        <td>
          <span class="cell-figure cell-small">
            {depth === null ? figureText(null, 0) : `${figureText(depth, 1)} %`}
          </span>
          <span class="cell-more">
            {reading?.missedPulsesPerMinute == null
              ? ''
              : `${figureText(reading.missedPulsesPerMinute, 0)} missed/min`}
          </span>
        </td>
      </tr>
      {sentence !== '' && (
        <tr class="sentence-row">
          <td />
          <td colSpan={alone ? 2 : 3}>{sentence}</td>
        </tr>
      )}
    </>
  );
}

function largest(values: readonly (number | null)[]): number | null {
  return values.reduce<number | null>(
    (most, value) => (value === null ? most : Math.max(most ?? 0, value)),
    null,
  );
}
