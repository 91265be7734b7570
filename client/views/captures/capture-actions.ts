import type { CaptureLabel } from '../../../server/contract/live.ts';
import { api } from '../../link/api.ts';
import { takeAnswer } from '../../link/latest.ts';
import { tell } from '../../link/notice.ts';

export async function startCapture(label: CaptureLabel): Promise<void> {
  const answer = await tell(api.startCapture({ label }));
  if (answer.ok) takeAnswer({ type: 'event', event: 'capture', capture: answer.value });
}

export async function stopCapture(id: string): Promise<void> {
  const answer = await tell(api.stopCapture(id));
  if (answer.ok) takeAnswer({ type: 'event', event: 'capture', capture: answer.value });
}
