import { effect, signal } from '@preact/signals';
import type { PracticePatch, PracticeState } from '../../../server/contract/practice.ts';
import { api } from '../../link/api.ts';
import { practice, takeAnswer } from '../../link/latest.ts';
import { tell } from '../../link/notice.ts';
import { roundTurns } from './turns.ts';

/**
 * What the panel shows: the program's state with the changes on their way to it laid over, so that quick presses
 * add up and none is lost.
 */
export const panel = signal<PracticeState | null>(null);

let waiting: PracticePatch = {};
let sending = false;

/** Takes over the program's state whenever no change of our own is on its way. */
export function followPractice(): void {
  effect(() => {
    const told = practice.value;
    if (told === null || !(sending || hasEntries(waiting))) panel.value = told;
  });
}

export function turnBalanceScrew(index: number, turns: number): void {
  const state = panel.value;
  const screw = state?.balanceScrews[index];
  if (!state || screw === undefined) return;
  const balanceScrews = state.balanceScrews.map((other, i) =>
    i === index ? { ...other, turns: roundTurns(other.turns + turns, -5, 5) } : other,
  );
  change({ ...state, balanceScrews }, { balanceScrewTurns: balanceScrews.map((each) => each.turns) });
}

export function turnIdleScrew(turns: number): void {
  const state = panel.value;
  if (!state) return;
  const idleScrewTurns = roundTurns(state.idleScrewTurns + turns, -5, 10);
  change({ ...state, idleScrewTurns }, { idleScrewTurns });
}

/** What the hand holds for the second balance point: about three times the idle speed. */
const RAISED_THROTTLE = 0.09;

/** The hand opens the throttle and holds it, or lets go. */
export function holdThrottle(held: boolean): void {
  const heldThrottle = held ? RAISED_THROTTLE : 0;
  const state = panel.value;
  if (state) change({ ...state, heldThrottle }, { heldThrottle });
}

/** Sets one cylinder's fault. */
export function setFault<K extends 'leakMm' | 'tornDiaphragm' | 'missedFiring' | 'hoseOff'>(
  name: K,
  cyl: number,
  value: PracticeState[K][number],
): void {
  const state = panel.value;
  if (!state) return;
  const values = (state[name] as PracticeState[K][number][]).map((other, i) => (i === cyl ? value : other));
  change({ ...state, [name]: values }, { [name]: values });
}

/** Puts two hoses on each other's cylinder, 1-based, or all of them right. */
export function swapHoses(swappedHoses: PracticeState['swappedHoses']): void {
  const state = panel.value;
  if (state) change({ ...state, swappedHoses }, { swappedHoses });
}

export function setRunning(running: boolean): void {
  const state = panel.value;
  if (state) change({ ...state, running }, { running });
}

/** Another layout is another engine: the program answers with its screws. */
export function chooseLayout(layout: string): void {
  const state = panel.value;
  if (state) change({ ...state, layout }, { layout });
}

export async function blip(): Promise<void> {
  await tell(api.blip());
}

function change(shown: PracticeState, patch: PracticePatch): void {
  panel.value = shown;
  waiting = { ...waiting, ...patch };
  if (!sending) void send();
}

/** One request at a time: the last state always arrives last. */
async function send(): Promise<void> {
  sending = true;
  while (hasEntries(waiting)) {
    const patch = waiting;
    waiting = {};
    const answer = await tell(api.changePractice(patch));
    if (answer.ok) takeAnswer({ type: 'event', event: 'practice', practice: answer.value });
  }
  sending = false;
  panel.value = practice.value;
}

function hasEntries(patch: PracticePatch): boolean {
  return Object.keys(patch).length > 0;
}
