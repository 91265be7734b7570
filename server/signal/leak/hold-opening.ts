/** What opening a part that does not hold has: from how fast it fills and how large it is. */
import type { Figure } from '../check-verdict.ts';
import type { HoldTestOptions } from './hold-test.ts';
import { equivalentHoleMm, heatFactor, type LeakVessel } from './orifice-leak.ts';

const DEFAULT_TEMPERATURE_K = 293.15;
const DEFAULT_DISCHARGE: Figure = { value: 0.6, standardUncertainty: 0.03 };
const M3_PER_ML = 1e-6;
const PA_PER_KPA = 1000;

export interface HoldOpening {
  /** Volume of outside air that the choked leak draws in [ml/s]. */
  readonly conductanceMlPerS: Figure | null;
  /** Choked throughput V dp/dt [Pa m³/s]; 0.1 Pa m³/s is 1 mbar l/s. */
  readonly throughputPaM3PerS: Figure | null;
  /** Round hole that leaks as much [mm diameter]. */
  readonly holeMm: Figure | null;
}

export const NO_OPENING: HoldOpening = { conductanceMlPerS: null, throughputPaM3PerS: null, holeMm: null };

/**
 * First-order propagation of rate, volume and discharge coefficient (JCGM 100, 5.1.2).
 *
 * @param rise of the pressure while the leak is choked, greater than 0 [kPa/s]
 * @returns nothing where the volume is not known
 */
export function holdOpening(rise: Figure, options: HoldTestOptions): HoldOpening {
  const volume = options.volumeMl;
  if (volume === undefined) return NO_OPENING;
  const discharge = options.dischargeCoefficient ?? DEFAULT_DISCHARGE;
  const heat = options.heat ?? 'isothermal';
  const relative = Math.hypot(
    rise.standardUncertainty / rise.value,
    volume.standardUncertainty / volume.value,
  );
  const isothermalRise = rise.value / heatFactor(heat);
  const throughput = volume.value * M3_PER_ML * isothermalRise * PA_PER_KPA;
  const conductance = (volume.value * isothermalRise) / options.barometricKpa;
  const vessel: LeakVessel = {
    volumeMl: volume.value,
    outsideKpa: options.barometricKpa,
    temperatureK: options.temperatureK ?? DEFAULT_TEMPERATURE_K,
    dischargeCoefficient: discharge.value,
    heat,
  };
  const hole = equivalentHoleMm(rise.value, vessel);
  const ofHole = 0.5 * Math.hypot(relative, discharge.standardUncertainty / discharge.value);
  return {
    throughputPaM3PerS: { value: throughput, standardUncertainty: throughput * relative },
    conductanceMlPerS: { value: conductance, standardUncertainty: conductance * relative },
    holeMm: { value: hole, standardUncertainty: hole * ofHole },
  };
}
