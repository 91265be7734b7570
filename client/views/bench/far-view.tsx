import { PulseChart } from '../../charts/pulse-chart.tsx';
import { Rail } from '../../charts/rail.tsx';
import { setup } from '../../link/latest.ts';
import { GapPanel } from './gap-panel.tsx';
import { IdlePanel } from './idle-panel.tsx';
import { FarSentence } from './next-move.tsx';
import { RailEnds } from './rail-ends.tsx';
import { SensorNotes } from './sensor-notes.tsx';

/** What can be read from across the shop: the gap, the rail, the next move, the idle speed. */
export function FarView() {
  return (
    <main class="far" id="content">
      <h1 class="unseen">Bench, far-view</h1>
      <div class="far-figures">
        <GapPanel />
        <IdlePanel />
      </div>
      <FarSentence />
      <SensorNotes />
      {setup.value?.cylinders === 1 ? (
        <section class="picture" aria-label="Intake pulse">
          <PulseChart />
        </section>
      ) : (
        <section class="picture" aria-label="Balance of the cylinders">
          <RailEnds />
          <Rail large />
        </section>
      )}
    </main>
  );
}
