import type { CylinderReading } from '../../../server/contract/live.ts';
import { CylinderPlate } from '../../charts/cylinder-plate.tsx';
import { PulseChart } from '../../charts/pulse-chart.tsx';
import { TraceChart } from '../../charts/trace-chart.tsx';
import { setup } from '../../link/latest.ts';
import { figures } from '../../link/shown.ts';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { figureText, pressureText, UNKNOWN } from '../../units/figure-text.ts';
import { sensorSentence } from '../shell/source-words.ts';
import { WideTable } from '../wide-table.tsx';

/** The shape of each cylinder's intake pulse, and what is unsteady about it. */
export function PulsesView() {
  const count = setup.value?.cylinders ?? figures.value?.cylinders.length ?? 0;
  const unit = chosenUnit.value;
  return (
    <main class="page pulses" id="content">
      <h1>Intake pulses</h1>
      <section class="panel" aria-labelledby="shape-name">
        <h2 class="panel-name" id="shape-name">
          Vacuum over one engine cycle, {unit.id}
        </h2>
        <PulseChart />
        <p class="field-note">
          Every line starts at its own cylinder’s pulse, so like engines lie on each other. The shade is one
          standard deviation from cycle to cycle.
        </p>
      </section>
      <section class="panel" aria-labelledby="trace-name">
        <h2 class="panel-name" id="trace-name">
          Vacuum as it comes from the sensors
        </h2>
        <TraceChart />
        <p class="field-note">
          One lane for each cylinder, all on one scale: no vacuum at the foot, more upwards. A lane without a
          line has no reading.
        </p>
      </section>
      <WideTable name="Pulses, figures">
        <table class="pulse-table">
          <thead>
            <tr>
              <th scope="col">
                <span class="unseen">Cylinder</span>
              </th>
              <th scope="col">Peak vacuum, {unit.id}</th>
              <th scope="col">Pulse depth, {unit.id}</th>
              <th scope="col">Depth varies</th>
              <th scope="col">Missed or weak, per min</th>
              <th scope="col">Cycles in the mean</th>
              <th scope="col">Sensor</th>
            </tr>
          </thead>
          <tbody>
            {Array.from({ length: count }, (_, cyl) => (
              <PulseRow key={cyl} cyl={cyl} reading={figures.value?.cylinders[cyl] ?? null} />
            ))}
          </tbody>
        </table>
      </WideTable>
    </main>
  );
}

function PulseRow({ cyl, reading }: { cyl: number; reading: CylinderReading | null }) {
  const unit = chosenUnit.value;
  const decimals = Math.max(0, unit.maxDecimals - 1);
  const varies = figures.value?.roughness.depthCovPercent[cyl] ?? null;
  return (
    <tr>
      <th scope="row">
        <CylinderPlate cyl={cyl} />
      </th>
      <td>{pressureText(reading?.peakVacuumKpa ?? null, decimals, unit)}</td>
      <td>{pressureText(reading?.pulseDepthKpa ?? null, decimals, unit)}</td>
      <td>{varies === null ? UNKNOWN : `${figureText(varies, 1)} %`}</td>
      <td>{figureText(reading?.missedPulsesPerMinute ?? null, 0)}</td>
      <td>{reading === null ? UNKNOWN : reading.cycles}</td>
      <td class="wrapping">
        {reading === null ? UNKNOWN : reading.sensor === 'ok' ? 'in order' : sensorSentence(reading.sensor)}
      </td>
    </tr>
  );
}
