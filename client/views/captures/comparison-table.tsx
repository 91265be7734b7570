import type { CaptureSummary } from '../../../server/contract/captures.ts';
import { CylinderPlate } from '../../charts/cylinder-plate.tsx';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { decimalsFor } from '../../units/decimals.ts';
import {
  figureText,
  plusMinusPressure,
  pressureText,
  signedPressureText,
  signedText,
} from '../../units/figure-text.ts';
import { fromKpa } from '../../units/pressure-unit.ts';
import { WideTable } from '../wide-table.tsx';
import { startedWords } from './capture-words.ts';
import { changeOf, comparisonWords } from './compare.ts';

interface ComparisonProps {
  readonly before: CaptureSummary | null;
  readonly after: CaptureSummary | null;
}

/** Before and after side by side, with what changed and whether it is more than noise. */
export function Comparison({ before, after }: ComparisonProps) {
  return (
    <section class="panel comparison" aria-labelledby="comparison-name">
      <h2 class="panel-name" id="comparison-name">
        Before and after
      </h2>
      <p class="comparison-words" data-testid="comparison">
        {comparisonWords({ before, after })}
      </p>
      {before !== null && after !== null && <Table before={before} after={after} />}
    </section>
  );
}

function Table({ before, after }: { before: CaptureSummary; after: CaptureSummary }) {
  const unit = chosenUnit.value;
  const gap = changeOf(before.spreadKpa, after.spreadKpa, before.spreadExpandedKpa, after.spreadExpandedKpa);
  const expandedKpa = Math.min(before.spreadExpandedKpa ?? Infinity, after.spreadExpandedKpa ?? Infinity);
  const decimals = decimalsFor(
    Number.isFinite(expandedKpa) ? fromKpa(expandedKpa, unit) : null,
    unit.maxDecimals,
  );
  const cylinders = Array.from(
    { length: Math.max(before.gapsKpa.length, after.gapsKpa.length) },
    (_, cyl) => cyl,
  );
  const withExpanded = (kpa: number | null, expanded: number | null) =>
    kpa !== null && expanded !== null
      ? `${pressureText(kpa, decimals, unit)} ${plusMinusPressure(expanded, decimals, unit)}`
      : pressureText(kpa, decimals, unit);
  return (
    <WideTable name="Before and after, figures">
      <table class="comparison-table">
        <thead>
          <tr>
            <td />
            <th scope="col">Before, {startedWords(before.startedAtMs, Date.now())}</th>
            <th scope="col">After, {startedWords(after.startedAtMs, Date.now())}</th>
            <th scope="col">Change</th>
          </tr>
        </thead>
        <tbody>
          <tr class="main-row">
            <th scope="row">Largest difference, {unit.id}</th>
            <td>{withExpanded(before.spreadKpa, before.spreadExpandedKpa)}</td>
            <td>{withExpanded(after.spreadKpa, after.spreadExpandedKpa)}</td>
            <td>
              {signedPressureText(gap.difference, decimals, unit)}
              {gap.expanded !== null && ` ${plusMinusPressure(gap.expanded, decimals, unit)}`}
            </td>
          </tr>
          {cylinders.map((cyl) => {
            const from = before.gapsKpa[cyl] ?? null;
            const to = after.gapsKpa[cyl] ?? null;
            return (
              <tr key={cyl}>
                <th scope="row">
                  <CylinderPlate cyl={cyl} />
                </th>
                <td>{signedPressureText(from, decimals, unit)}</td>
                <td>{signedPressureText(to, decimals, unit)}</td>
                <td>{signedPressureText(changeOf(from, to, null, null).difference, decimals, unit)}</td>
              </tr>
            );
          })}
          <tr>
            <th scope="row">Idle speed, r/min</th>
            <td>{figureText(before.idleRpm, 0)}</td>
            <td>{figureText(after.idleRpm, 0)}</td>
            <td>{signedText(changeOf(before.idleRpm, after.idleRpm, null, null).difference, 0)}</td>
          </tr>
          <tr>
            <th scope="row">Roughness, of 100</th>
            <td>{figureText(before.roughnessScore, 0)}</td>
            <td>{figureText(after.roughnessScore, 0)}</td>
            <td>
              {signedText(changeOf(before.roughnessScore, after.roughnessScore, null, null).difference, 0)}
            </td>
          </tr>
        </tbody>
      </table>
    </WideTable>
  );
}
