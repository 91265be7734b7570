import { BenchView } from './views/bench/bench-view.tsx';
import { FarView } from './views/bench/far-view.tsx';
import { CapturesView } from './views/captures/captures-view.tsx';
import { SetupView } from './views/setup/setup-view.tsx';
import { Announcer } from './views/shell/announcer.tsx';
import { Bands } from './views/shell/bands.tsx';
import { CautionsSheet } from './views/shell/cautions-sheet.tsx';
import { KeysSheet } from './views/shell/keys-sheet.tsx';
import { MoreSheet } from './views/shell/more-sheet.tsx';
import { openSheet } from './views/shell/sheet.ts';
import { TopBar } from './views/shell/top-bar.tsx';
import { farView, view } from './views/view.ts';

export function App() {
  const far = farView.value;
  return (
    <div class={far ? 'app app-far' : 'app'}>
      <TopBar />
      <Bands />
      {far ? (
        <FarView />
      ) : view.value === 'bench' ? (
        <BenchView />
      ) : view.value === 'captures' ? (
        <CapturesView />
      ) : (
        <SetupView />
      )}
      <Announcer />
      {openSheet.value === 'keys' && <KeysSheet />}
      {openSheet.value === 'cautions' && <CautionsSheet />}
      {openSheet.value === 'more' && <MoreSheet />}
    </div>
  );
}
