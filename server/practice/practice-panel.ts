import {
  MAX_IDLE_TURNS,
  MAX_LEAK_MM,
  MAX_SCREW_TURNS,
  MAX_VESSEL_LEAK_MM,
  MAX_VESSEL_VACUUM_KPA,
  MIN_IDLE_TURNS,
  type PracticePatch,
  type PracticeState,
} from '../contract/practice.ts';
import { type EngineLayout, LAYOUTS, layoutById } from './layouts.ts';
import type { PracticeBench } from './practice-bench.ts';

/** What stands on the panel just now. */
export function panelState(bench: PracticeBench): PracticeState {
  const { controls, layout } = bench;
  return {
    layout: layout.id,
    layouts: LAYOUTS.map(({ id, name, cylinders }) => ({ id, name, cylinders })),
    running: bench.running,
    balanceScrews: layout.balanceScrews.map(({ name, what }, screw) => ({
      name,
      what,
      turns: controls.balanceTurns[screw]!,
    })),
    idleScrewTurns: controls.idleTurns,
    heldThrottle: bench.throttle,
    leakMm: [...controls.leakMm],
    tornDiaphragm: [...controls.tornDiaphragm],
    missedFiring: [...controls.missedFiring],
    hoseOff: bench.taps.map((tap) => tap.settings.off),
    swappedHoses: bench.swappedHoses === null ? null : [bench.swappedHoses[0] + 1, bench.swappedHoses[1] + 1],
    sensors: bench.sensors,
    vesselVacuumKpa: bench.vessel.vacuumKpa,
  };
}

/** Why a patch cannot be carried out, as a sentence for the person, or null when it can. */
export function patchRefusal(patch: PracticePatch, present: EngineLayout): string | null {
  if (patch.layout !== undefined && !LAYOUTS.some(({ id }) => id === patch.layout)) {
    const known = LAYOUTS.map(({ id }) => id).join(', ');
    return `There is no engine layout "${patch.layout}": choose one of ${known}.`;
  }
  const layout = patch.layout === undefined ? present : layoutById(patch.layout);
  const screws = layout.balanceScrews.length;
  const { cylinders } = layout;
  return (
    arrayRefusal(
      layout,
      patch.balanceScrewTurns,
      screws,
      'balance screw',
      MAX_SCREW_TURNS,
      -MAX_SCREW_TURNS,
    ) ??
    arrayRefusal(layout, patch.leakMm, cylinders, 'cylinder', MAX_LEAK_MM) ??
    arrayRefusal(layout, patch.missedFiring, cylinders, 'cylinder', 1) ??
    arrayRefusal(layout, patch.tornDiaphragm, cylinders, 'cylinder') ??
    arrayRefusal(layout, patch.hoseOff, cylinders, 'cylinder') ??
    swapRefusal(layout, patch.swappedHoses ?? null) ??
    numberRefusal(patch.idleScrewTurns, 'The idle screw', MIN_IDLE_TURNS, MAX_IDLE_TURNS) ??
    numberRefusal(patch.heldThrottle, 'The throttle', 0, 1) ??
    numberRefusal(patch.vesselVacuumKpa ?? undefined, 'The vessel', 0, MAX_VESSEL_VACUUM_KPA) ??
    numberRefusal(patch.vesselLeakMm ?? undefined, 'The hole of the vessel', 0, MAX_VESSEL_LEAK_MM)
  );
}

/** Carries out a patch that `patchRefusal` has passed; its layout is the bench's already. */
export function applyPatch(bench: PracticeBench, patch: PracticePatch): void {
  const { controls } = bench;
  if (patch.balanceScrewTurns !== undefined) controls.balanceTurns = [...patch.balanceScrewTurns];
  if (patch.idleScrewTurns !== undefined) controls.idleTurns = patch.idleScrewTurns;
  if (patch.heldThrottle !== undefined) bench.throttle = patch.heldThrottle;
  if (patch.leakMm !== undefined) controls.leakMm = [...patch.leakMm];
  if (patch.tornDiaphragm !== undefined) controls.tornDiaphragm = [...patch.tornDiaphragm];
  if (patch.missedFiring !== undefined) controls.missedFiring = [...patch.missedFiring];
  for (const [cyl, off] of patch.hoseOff?.entries() ?? []) {
    const tap = bench.taps[cyl]!;
    tap.settings = { ...tap.settings, off };
  }
  if (patch.swappedHoses !== undefined) {
    const swapped = patch.swappedHoses;
    bench.swappedHoses = swapped === null ? null : [swapped[0] - 1, swapped[1] - 1];
  }
  if (patch.sensors !== undefined) bench.sensors = patch.sensors;
  if (patch.vesselVacuumKpa !== undefined) bench.vessel.vacuumKpa = patch.vesselVacuumKpa;
  if (patch.vesselLeakMm !== undefined) bench.vessel.leakMm = patch.vesselLeakMm;
  if (patch.cranking !== undefined) bench.crank(patch.cranking);
  if (patch.running !== undefined && patch.running !== bench.running) bench.setRunning(patch.running);
}

function arrayRefusal(
  layout: EngineLayout,
  values: readonly (number | boolean)[] | undefined,
  count: number,
  thing: string,
  max = 1,
  min = 0,
): string | null {
  if (values === undefined) return null;
  if (values.length !== count) {
    const things = `${count === 0 ? 'no' : count} ${thing}${count === 1 ? '' : 's'}`;
    return `The ${layout.name} has ${things}: give one value for each, not ${values.length}.`;
  }
  for (const [index, value] of values.entries()) {
    if (typeof value === 'boolean') continue;
    const refusal = numberRefusal(
      value,
      `${thing[0]!.toUpperCase()}${thing.slice(1)} ${index + 1}`,
      min,
      max,
    );
    if (refusal !== null) return refusal;
  }
  return null;
}

function swapRefusal({ name, cylinders }: EngineLayout, swapped: readonly [number, number] | null) {
  if (swapped === null || (swapped[0] !== swapped[1] && Math.max(...swapped) <= cylinders)) return null;
  return cylinders < 2
    ? `The ${name} has one hose: there is nothing to swap.`
    : `Two different hoses of 1 to ${cylinders} can be swapped, not ${swapped[0]} and ${swapped[1]}.`;
}

function numberRefusal(value: number | undefined, what: string, min: number, max: number): string | null {
  if (value === undefined || (value >= min && value <= max)) return null;
  return `${what} can be set from ${min} to ${max}, not to ${value}.`;
}
