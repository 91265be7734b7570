/**
 * Piston travel from top dead centre [same unit as the radius]:
 * x = r (1 - cos a) + l - sqrt(l² - r² sin² a). Heywood (1988), equations 2.4 to 2.6.
 *
 * @param angleDeg crank angle after top dead centre
 * @throws RangeError when the rod is not longer than the crank radius
 * @example pistonTravel(90, 50, 200) // 56.35083
 */
export function pistonTravel(angleDeg: number, crankRadius: number, rodLength: number): number {
  if (!(rodLength > crankRadius)) {
    throw new RangeError(`A rod of ${rodLength} cannot turn on a crank of radius ${crankRadius}`);
  }
  const angle = (angleDeg * Math.PI) / 180;
  const across = crankRadius * Math.sin(angle);
  return crankRadius * (1 - Math.cos(angle)) + rodLength - Math.sqrt(rodLength * rodLength - across * across);
}

/**
 * Cylinder volume over crank angle [m³] at `STEPS_PER_DEGREE` steps from 0 to 360 degrees after top dead centre,
 * both ends included.
 *
 * @param displacementM3 swept volume
 * @param compressionRatio (swept + clearance) / clearance
 * @param rodToRadius rod length over crank radius, usually 3.2 to 4.5
 */
export function volumeTable(
  displacementM3: number,
  compressionRatio: number,
  rodToRadius: number,
): Float64Array {
  const clearanceM3 = displacementM3 / (compressionRatio - 1);
  return Float64Array.from(
    { length: 360 * STEPS_PER_DEGREE + 1 },
    (_, step) => clearanceM3 + displacementM3 * pistonTravel(step / STEPS_PER_DEGREE, 0.5, rodToRadius / 2),
  );
}

export const STEPS_PER_DEGREE = 4;
