import type { PracticeState } from '../../../server/contract/practice.ts';
import { LOOPBACK_RULE } from '../../../server/http/allowed-hosts.ts';
import type { AppParts, PracticePanel } from '../../../server/http/app-parts.ts';
import { buildApp } from '../../../server/http/build-app.ts';
import { LiveHub } from '../../../server/live/live-hub.ts';
import { HandSource, sessionBench } from '../session/session-bench.ts';

const PANEL: PracticeState = {
  layout: 'twin',
  layouts: [{ id: 'twin', name: 'Twin', cylinders: 2 }],
  running: true,
  balanceScrews: [{ name: 'between 1 and 2', what: 'balance screw', turns: 0 }],
  idleScrewTurns: 1,
  heldThrottle: 0,
  leakMm: [0, 0],
  tornDiaphragm: [false, false],
  missedFiring: [0, 0],
  hoseOff: [false, false],
  swappedHoses: null,
  sensors: 'exact',
  vesselVacuumKpa: null,
};

/** The whole app around a session on a clock that the test turns. */
export async function appBench(sourceKind: 'serial' | 'practice' = 'serial', more: Partial<AppParts> = {}) {
  const bench = sessionBench();
  const source = new HandSource(sourceKind);
  bench.session.useSource(source);
  await bench.clock.advance(10);
  source.samples(5);
  let panel = PANEL;
  let blips = 0;
  const practice: PracticePanel = {
    state: () => panel,
    change(patch) {
      if (patch.layout !== undefined && patch.layout !== 'twin') {
        return { ok: false, code: 'practice-bad-setting', detail: `layout ${patch.layout}` };
      }
      panel = { ...panel, idleScrewTurns: patch.idleScrewTurns ?? panel.idleScrewTurns };
      return { ok: true, value: panel };
    },
    blip: () => {
      blips++;
    },
  };
  const hub = new LiveHub({
    clock: bench.clock,
    serverStartId: 'start-1',
    softwareVersion: '1.2.3',
    snapshot: () => ({
      type: 'snapshot',
      source: bench.session.source,
      setup: bench.session.setup,
      update: bench.session.update,
      captures: bench.session.captures,
      practice: null,
    }),
    onTrouble: () => {},
  });
  bench.listeners.push((message) => hub.publish(message));
  const app = await buildApp({
    session: bench.session,
    visit: async () => null,
    store: bench.store,
    hub,
    practice,
    hosts: LOOPBACK_RULE,
    facts: { softwareVersion: '1.2.3', serverStartId: 'start-1', uptimeS: () => 12.5 },
    clientFolder: null,
    ...more,
  });
  return { ...bench, source, app, hub, blips: () => blips };
}
