/** Every shortcut of the screen, in the order that the help lists them. */
export type KeyAction =
  | 'help'
  | 'far-view'
  | 'freeze'
  | 'full-screen'
  | 'sound'
  | 'unit'
  | 'theme'
  | 'bench'
  | 'pulses'
  | 'captures'
  | 'set-up'
  | 'capture-before'
  | 'capture-after'
  | 'capture-stop'
  | 'cautions'
  | 'speech'
  | 'practice-screw';

export interface KeyEntry {
  readonly key: string;
  readonly action: KeyAction;
  readonly words: string;
}

export const KEY_MAP: readonly KeyEntry[] = [
  { key: '?', action: 'help', words: 'Show these keys' },
  { key: 'v', action: 'far-view', words: 'Far-view on and off' },
  { key: 'p', action: 'freeze', words: 'Freeze the screen and go on' },
  { key: 'f', action: 'full-screen', words: 'Full screen on and off' },
  { key: 's', action: 'sound', words: 'Ear cue on and off' },
  { key: 'u', action: 'unit', words: 'Next pressure unit' },
  { key: 't', action: 'theme', words: 'Light or dark' },
  { key: '1', action: 'bench', words: 'Bench' },
  { key: '2', action: 'pulses', words: 'Pulses' },
  { key: '3', action: 'captures', words: 'Captures' },
  { key: '4', action: 'set-up', words: 'Set-up' },
  { key: 'b', action: 'capture-before', words: 'Start a capture before' },
  { key: 'a', action: 'capture-after', words: 'Start a capture after' },
  { key: 'x', action: 'capture-stop', words: 'Stop the capture' },
  { key: 'c', action: 'cautions', words: 'Cautions' },
  { key: 'g', action: 'speech', words: 'Say the gap aloud, on and off' },
  { key: 'n', action: 'practice-screw', words: 'To the next practice screw' },
];

export interface KeyPress {
  readonly key: string;
  readonly ctrlKey: boolean;
  readonly altKey: boolean;
  readonly metaKey: boolean;
  /** Whether the focus is where characters are typed. */
  readonly typing: boolean;
  readonly repeat: boolean;
}

/** What a key asks for, or null when it is not ours. */
export function keyAction(press: KeyPress): KeyAction | null {
  if (press.ctrlKey || press.altKey || press.metaKey || press.typing || press.repeat) return null;
  const key = press.key.length === 1 ? press.key.toLowerCase() : press.key;
  return KEY_MAP.find((entry) => entry.key === key)?.action ?? null;
}
