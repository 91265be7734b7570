import { signal } from '@preact/signals';
import { captures, practice } from '../../link/latest.ts';
import { storedSwitch } from '../../settings/stored-choice.ts';
import { openView } from '../view.ts';

export interface TourRun {
  readonly step: number;
  /** Captures that were there before do not count. */
  readonly known: ReadonlySet<string>;
  readonly turnsAtStart: string;
}

/** The tour was taken or declined at this screen. */
export const tourSeen = storedSwitch('tour-seen', false);
export const tour = signal<TourRun | null>(null);

export function startTour(): void {
  openView('bench');
  tour.value = {
    step: 0,
    known: new Set(captures.peek().map(({ id }) => id)),
    turnsAtStart: balanceTurns(),
  };
}

export function goToStep(step: number): void {
  if (tour.value !== null) tour.value = { ...tour.value, step };
}

export function endTour(): void {
  tour.value = null;
  tourSeen.value = true;
}

export function balanceTurns(): string {
  return (practice.value?.balanceScrews ?? []).map(({ turns }) => turns.toFixed(3)).join(' ');
}
