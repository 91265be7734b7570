import type { CaptureLabel } from '../../../server/contract/captures.ts';
import { api } from '../../link/api.ts';
import { takeAnswer } from '../../link/latest.ts';
import { tell } from '../../link/notice.ts';
import { storedChoice } from '../../settings/stored-choice.ts';

export async function startCapture(label: CaptureLabel): Promise<void> {
  const answer = await tell(api.startCapture({ label }));
  if (answer.ok) takeAnswer({ type: 'event', event: 'capture', capture: answer.value });
}

export async function stopCapture(id: string): Promise<void> {
  const answer = await tell(api.stopCapture(id));
  if (answer.ok) takeAnswer({ type: 'event', event: 'capture', capture: answer.value });
}

/** When a capture starts: at once, or by itself; then it ends by itself too. Remembered. */
export type CaptureTime = 'now' | 'steady' | 'equal';
export const CAPTURE_TIMES: readonly { readonly value: CaptureTime; readonly words: string }[] = [
  { value: 'now', words: 'at once, until stopped' },
  { value: 'steady', words: 'when steady, until sure' },
  { value: 'equal', words: 'when equal and steady, until sure' },
];
export const captureTime = storedChoice<CaptureTime>(
  'capture-time',
  (text) => CAPTURE_TIMES.find(({ value }) => value === text)?.value ?? 'now',
  (time) => time,
);

/** By the button or the key, as it was chosen. */
export async function beginCapture(label: CaptureLabel): Promise<void> {
  const when = captureTime.peek();
  if (when === 'now') await startCapture(label);
  else await tell(api.planCapture({ label, when }));
}

export async function dropPlan(): Promise<void> {
  await tell(api.dropPlan());
}
