import type { ComponentType } from 'preact';
import { role } from './link/access.ts';
import { BenchView } from './views/bench/bench-view.tsx';
import { FarView } from './views/bench/far-view.tsx';
import { CapturesView } from './views/captures/captures-view.tsx';
import { later } from './views/later.tsx';
import { PulsesView } from './views/pulses/pulses-view.tsx';
import { SetupView } from './views/setup/setup-view.tsx';
import { Announcer } from './views/shell/announcer.tsx';
import { Bands } from './views/shell/bands.tsx';
import { CautionsSheet } from './views/shell/cautions-sheet.tsx';
import { KeysSheet } from './views/shell/keys-sheet.tsx';
import { MoreSheet } from './views/shell/more-sheet.tsx';
import { openSheet } from './views/shell/sheet.ts';
import { TopBar } from './views/shell/top-bar.tsx';
import { TourSlot } from './views/tour/tour-slot.tsx';
import { farView, type ViewId, view } from './views/view.ts';

const VIEW: Readonly<Record<ViewId, ComponentType>> = {
  bench: BenchView,
  jobs: later(() => import('./views/jobs/jobs-view.tsx').then(({ JobsView }) => JobsView)),
  pulses: PulsesView,
  captures: CapturesView,
  checks: later(() => import('./views/checks/checks-view.tsx').then(({ ChecksView }) => ChecksView)),
  setup: SetupView,
  devices: later(() => import('./views/devices/devices-view.tsx').then(({ DevicesView }) => DevicesView)),
  calibration: later(() =>
    import('./views/calibration/calibration-view.tsx').then(({ CalibrationView }) => CalibrationView),
  ),
  health: later(() => import('./views/health/health-view.tsx').then(({ HealthView }) => HealthView)),
};
const LetInPage = later(() => import('./views/devices/let-in-page.tsx').then(({ LetInPage }) => LetInPage));

export function App() {
  if (role.value === 'none') return <LetInPage />;
  const far = farView.value;
  const View = far ? FarView : VIEW[view.value];
  return (
    <div class={far ? 'app app-far' : 'app'}>
      <TopBar />
      <Bands />
      {!far && <TourSlot />}
      <View />
      <Announcer />
      {openSheet.value === 'keys' && <KeysSheet />}
      {openSheet.value === 'cautions' && <CautionsSheet />}
      {openSheet.value === 'more' && <MoreSheet />}
    </div>
  );
}
