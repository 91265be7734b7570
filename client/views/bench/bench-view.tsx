import { ConvergenceChart } from '../../charts/convergence-chart.tsx';
import { PulseChart } from '../../charts/pulse-chart.tsx';
import { Rail } from '../../charts/rail.tsx';
import { practice, setup } from '../../link/latest.ts';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { CalibrationLine } from '../calibration/calibration-line.tsx';
import { PracticePanel } from '../practice/practice-panel.tsx';
import { BalancePoints } from './balance-points.tsx';
import { CapturePanel } from './capture-panel.tsx';
import { CylinderTable } from './cylinder-table.tsx';
import { GapPanel } from './gap-panel.tsx';
import { GapStrip } from './gap-strip.tsx';
import { IdlePanel } from './idle-panel.tsx';
import { IdleReminder, NextMove } from './next-move.tsx';
import { RailEnds } from './rail-ends.tsx';
import { RoughnessPanel } from './roughness-panel.tsx';
import { SensorNotes } from './sensor-notes.tsx';

/** The screen of the instrument. */
export function BenchView() {
  return (
    <main class="bench" id="content">
      <h1 class="unseen">Bench</h1>
      <GapStrip />
      <div class="bench-main">
        <GapPanel />
        <div class="guidance">
          <NextMove />
          <IdleReminder />
          <BalancePoints />
        </div>
        <SensorNotes />
        {setup.value?.cylinders === 1 ? (
          <section class="picture" aria-label="Intake pulse">
            <h2 class="figure-name">Vacuum over one engine cycle, {chosenUnit.value.id}</h2>
            <PulseChart />
          </section>
        ) : (
          <section class="picture" aria-label="Balance of the cylinders">
            <RailEnds />
            <Rail numbers={false} />
            <ConvergenceChart />
          </section>
        )}
        <IdlePanel />
        <RoughnessPanel />
      </div>
      <div class="bench-side">
        <CylinderTable />
        <CalibrationLine />
        <CapturePanel />
        {practice.value !== null && <PracticePanel />}
      </div>
    </main>
  );
}
