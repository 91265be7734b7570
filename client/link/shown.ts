import { computed, effect, signal } from '@preact/signals';
import type { Update } from '../../server/contract/live.ts';
import { lessMotion } from '../settings/motion.ts';
import { serverStartId, update } from './latest.ts';

/** Figures change at most this often: faster cannot be read [ms]. */
const FIGURES_EVERY_MS = 200;
const RAIL_EVERY_MS_LESS_MOTION = 500;

/** The moment at which the person froze the screen, or null. */
export const frozenAt = signal<Date | null>(null);
export const frozen = computed(() => frozenAt.value !== null);

/** The reading behind the moving parts of the screen: rail and chart. */
export const railUpdate = signal<Update | null>(null);
/** The reading behind the figures. */
export const figures = signal<Update | null>(null);

export function toggleFreeze(): void {
  frozenAt.value = frozen.value ? null : new Date();
}

/** Lets readings through to the screen at a pace that can be read, and none while it is frozen. */
export function startShowing(): void {
  let figuresAt = 0;
  let railAt = 0;
  effect(() => {
    // What was frozen belongs to a program that is gone.
    serverStartId.value;
    frozenAt.value = null;
  });
  effect(() => {
    const next = update.value;
    if (frozen.value) return;
    const now = performance.now();
    if (next === null || !lessMotion.value || now - railAt >= RAIL_EVERY_MS_LESS_MOTION) {
      railAt = now;
      railUpdate.value = next;
    }
    if (now - figuresAt >= FIGURES_EVERY_MS || saysSomethingNew(figures.peek(), next)) {
      figuresAt = now;
      figures.value = next;
    }
  });
}

/** Whether a word on the screen changes, or a figure appears or goes: that does not wait. */
export function saysSomethingNew(before: Update | null, after: Update | null): boolean {
  if (before === null || after === null) return before !== after;
  return (
    before.settling !== after.settling ||
    before.verdict !== after.verdict ||
    before.advice?.sentence !== after.advice?.sentence ||
    before.advice?.idle.sentence !== after.advice?.idle.sentence ||
    before.advice?.point !== after.advice?.point ||
    before.engine.running !== after.engine.running ||
    before.cylinders.length !== after.cylinders.length ||
    (before.spreadKpa === null) !== (after.spreadKpa === null) ||
    before.cylinders.some((cylinder, cyl) => cylinder.sensor !== after.cylinders[cyl]?.sensor)
  );
}
