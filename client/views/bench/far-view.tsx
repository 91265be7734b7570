import { Rail } from '../../charts/rail.tsx';
import { GapPanel } from './gap-panel.tsx';
import { IdlePanel } from './idle-panel.tsx';
import { NextMove } from './next-move.tsx';
import { RailEnds } from './rail-ends.tsx';

/** What can be read from across the shop: the gap, the rail, the next move, the idle speed. */
export function FarView() {
  return (
    <main class="far" id="content">
      <div class="far-figures">
        <GapPanel />
        <IdlePanel />
      </div>
      <NextMove />
      <section class="picture" aria-label="Balance of the cylinders">
        <RailEnds />
        <Rail large />
      </section>
    </main>
  );
}
