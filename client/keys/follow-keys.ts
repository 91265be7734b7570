import { toggleEar } from '../ear/ear-cue.ts';
import { toggleSpeech } from '../ear/speech.ts';
import { plannedCapture, runningCapture, source } from '../link/latest.ts';
import { toggleFreeze } from '../link/shown.ts';
import { toggleFullScreen } from '../settings/full-screen.ts';
import { chooseNextTheme } from '../settings/theme.ts';
import { chooseNextUnit } from '../units/chosen-unit.ts';
import { beginCapture, dropPlan, stopCapture } from '../views/captures/capture-actions.ts';
import { focusNextScrew } from '../views/practice/focus-screw.ts';
import { openSheet, toggleSheet } from '../views/shell/sheet.ts';
import { openView, toggleFarView } from '../views/view.ts';
import { type KeyAction, keyAction } from './key-map.ts';
import { singleKeys } from './single-keys.ts';

const ACTIONS: Readonly<Record<KeyAction, () => void>> = {
  help: () => toggleSheet('keys'),
  'far-view': toggleFarView,
  freeze: toggleFreeze,
  'full-screen': toggleFullScreen,
  sound: toggleEar,
  unit: chooseNextUnit,
  theme: chooseNextTheme,
  bench: () => openView('bench'),
  pulses: () => openView('pulses'),
  captures: () => openView('captures'),
  'set-up': () => openView('setup'),
  'capture-before': () => begin('before'),
  'capture-after': () => begin('after'),
  'capture-stop': () => {
    const running = runningCapture.value;
    if (running !== null) void stopCapture(running.id);
    else if (plannedCapture.value !== null) void dropPlan();
  },
  cautions: () => toggleSheet('cautions'),
  speech: toggleSpeech,
  'practice-screw': focusNextScrew,
};

/** Listens for the shortcuts. While a sheet is open only the key that closes it counts. */
export function followKeys(): void {
  document.addEventListener('keydown', (event) => {
    if (!singleKeys.value) return;
    const action = keyAction({
      key: event.key,
      ctrlKey: event.ctrlKey,
      altKey: event.altKey,
      metaKey: event.metaKey,
      repeat: event.repeat,
      typing:
        event.target instanceof HTMLElement &&
        event.target.closest('input[type=text], select, textarea') !== null,
    });
    if (action === null || event.defaultPrevented) return;
    // A sheet that was closed a moment ago is still being put away.
    const sheet = document.querySelector('dialog[open]') === null ? null : openSheet.value;
    if (
      sheet !== null &&
      !(sheet === 'keys' && action === 'help') &&
      !(sheet === 'cautions' && action === 'cautions')
    )
      return;
    event.preventDefault();
    ACTIONS[action]();
  });
}

function begin(label: 'before' | 'after'): void {
  if (runningCapture.value === null && source.value?.link === 'live') void beginCapture(label);
}
