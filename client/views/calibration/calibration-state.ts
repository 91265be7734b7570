import { signal } from '@preact/signals';
import type {
  AirPressure,
  CalibrationHistory,
  CalibrationSave,
  CalibrationState,
  Gauge,
  SensorsChange,
  SpanReading,
} from '../../../server/contract/calibration.ts';
import { type Answer, call } from '../../link/api.ts';
import { tell } from '../../link/notice.ts';

/** What the program says of the calibration; null until it has. */
export const calibration = signal<CalibrationState | null>(null);
export const pastCalibrations = signal<CalibrationHistory | null>(null);

/** How often the state is asked for while samples are gathered, and otherwise [ms]. */
const EVERY_MS_BUSY = 400;
const EVERY_MS = 1_500;

/** Asks again and again while the page is open. @returns what ends it */
export function followCalibration(): () => void {
  let timer: ReturnType<typeof setTimeout> | undefined;
  let ended = false;
  const ask = async () => {
    const answer = await call<CalibrationState>('GET', 'api/calibration');
    if (ended) return;
    if (answer.ok) take(answer.value);
    timer = setTimeout(ask, calibration.value?.desk.phase === 'recording' ? EVERY_MS_BUSY : EVERY_MS);
  };
  void ask();
  return () => {
    ended = true;
    clearTimeout(timer);
  };
}

export const startZero = (air: AirPressure) => act('POST', 'zero', { air });
export const startMatching = (channels: number[]) => act('POST', 'matching', { channels });
export const startSpan = (channels: number[], gauge: Gauge) => act('POST', 'span', { channels, gauge });
export const takeReading = (reading: SpanReading) => act('POST', 'span/readings', reading);
export const finish = () => act('POST', 'finish');
export const discard = () => act('POST', 'discard');
export const save = (how: CalibrationSave) => act('POST', 'save', how);
export const useAgain = (id: string) => act('POST', `use/${encodeURIComponent(id)}`);
export const setSensors = (change: SensorsChange) => act('PUT', 'sensors', change);

export async function askHistory(boardId: string | null): Promise<void> {
  const query = boardId === null ? '' : `?boardId=${encodeURIComponent(boardId)}`;
  const answer = await call<CalibrationHistory>('GET', `api/calibration/history${query}`);
  if (answer.ok) pastCalibrations.value = answer.value;
}

async function act(method: string, path: string, body?: unknown): Promise<Answer<CalibrationState>> {
  const answer = await tell(call<CalibrationState>(method, `api/calibration/${path}`, body));
  if (answer.ok) take(answer.value);
  return answer;
}

function take(state: CalibrationState): void {
  const before = calibration.value?.board;
  calibration.value = state;
  const { board } = state;
  if (
    board?.boardId !== before?.boardId ||
    board?.calibrationId !== before?.calibrationId ||
    pastCalibrations.value === null
  )
    void askHistory(null);
}
