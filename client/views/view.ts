import { signal } from '@preact/signals';

export type ViewId =
  | 'bench'
  | 'jobs'
  | 'pulses'
  | 'captures'
  | 'checks'
  | 'setup'
  | 'devices'
  | 'calibration'
  | 'health';
/** What has a button of its own at the top. */
export const VIEWS: readonly { readonly id: ViewId; readonly name: string }[] = [
  { id: 'bench', name: 'Bench' },
  { id: 'jobs', name: 'Jobs' },
  { id: 'pulses', name: 'Pulses' },
  { id: 'captures', name: 'Captures' },
  { id: 'checks', name: 'Checks' },
  { id: 'setup', name: 'Set-up' },
];

/** What is opened from another view. */
const INNER_VIEWS: readonly ViewId[] = ['devices', 'calibration', 'health'];

export const view = signal<ViewId>(viewOf(location.hash));
/** Only what is needed from across the shop. */
export const farView = signal(location.hash === '#far');

/** The address says which screen is open, so that it can be kept as a bookmark and 'back' works. */
export function followAddress(): void {
  window.addEventListener('hashchange', () => {
    view.value = viewOf(location.hash);
    farView.value = location.hash === '#far';
  });
}

export function openView(id: ViewId): void {
  location.hash = id;
}

export function toggleFarView(): void {
  location.hash = farView.value ? 'bench' : 'far';
}

function viewOf(hash: string): ViewId {
  const [name] = hash.slice(1).split('/');
  return VIEWS.find(({ id }) => id === name)?.id ?? INNER_VIEWS.find((id) => id === name) ?? 'bench';
}
