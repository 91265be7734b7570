/** Specific gas constant of dry air [J/(kg K)], ISO 2533. */
export const AIR_GAS_CONSTANT = 287.05287;
/** Ratio of specific heats of air near room temperature. */
export const AIR_GAMMA = 1.4;

/** Below this pressure ratio the flow through an orifice is choked: (2/(g+1))^(g/(g-1)). */
export function criticalPressureRatio(gamma: number): number {
  return (2 / (gamma + 1)) ** (gamma / (gamma - 1));
}

/**
 * Flow factor phi of a compressible orifice, dimensionless: mass flow = Cd A p0 / sqrt(R T0) x phi(r).
 * Heywood, Internal Combustion Engine Fundamentals (1988), appendix C, equations C.8 and C.9.
 *
 * phi meets r = 1 with an infinite slope, on which a fixed time step would chatter. Within `BALANCE_BAND` of
 * r = 1 it is therefore a straight line to 0 at r = 1.
 *
 * @param pressureRatio downstream over upstream pressure, 0…1; above 1 is taken as 1
 * @example flowFactor(0.8) // 0.56066
 */
export function flowFactor(pressureRatio: number, gamma: number = AIR_GAMMA): number {
  if (pressureRatio >= 1) return 0;
  const critical = gamma === AIR_GAMMA ? AIR_CRITICAL : criticalPressureRatio(gamma);
  const r = Math.max(pressureRatio, critical);
  if (r <= BALANCE_EDGE) return subcritical(r, gamma);
  const edge = gamma === AIR_GAMMA ? AIR_EDGE_FACTOR : subcritical(BALANCE_EDGE, gamma);
  return (edge * (1 - r)) / BALANCE_BAND;
}

/**
 * Signed mass flow of air through an orifice [kg/s], positive from A to B; the upstream side gives the
 * stagnation state.
 *
 * @param effectiveAreaM2 discharge coefficient x area [m²]
 * @param pressureA [Pa absolute]
 * @param temperatureA [K]
 * @example orificeMassFlow(0.6 * 7.854e-7, 101325, 293.15, 30000, 293.15) // 1.127e-4
 */
export function orificeMassFlow(
  effectiveAreaM2: number,
  pressureA: number,
  temperatureA: number,
  pressureB: number,
  temperatureB: number,
): number {
  if (pressureA >= pressureB) {
    return (
      ((effectiveAreaM2 * pressureA) / Math.sqrt(AIR_GAS_CONSTANT * temperatureA)) *
      airFlowFactor(pressureB / pressureA)
    );
  }
  return (
    ((-effectiveAreaM2 * pressureB) / Math.sqrt(AIR_GAS_CONSTANT * temperatureB)) *
    airFlowFactor(pressureA / pressureB)
  );
}

/**
 * `flowFactor` of air from a table over sqrt(1 - r), in which it is smooth: good to 1e-7. The engine asks for it
 * some hundred thousand times a second, and powers are slow.
 */
export function airFlowFactor(pressureRatio: number): number {
  if (pressureRatio <= AIR_CRITICAL) return AIR_CHOKED;
  if (pressureRatio >= BALANCE_EDGE) return flowFactor(pressureRatio);
  const at = Math.sqrt(1 - pressureRatio) * TABLE_SCALE;
  const step = Math.floor(at);
  const low = AIR_TABLE[step]!;
  return low + (at - step) * (AIR_TABLE[step + 1]! - low);
}

function subcritical(r: number, gamma: number): number {
  // r^((g-1)/g) once; r^(1/g) is r over it.
  const root = r ** ((gamma - 1) / gamma);
  return (r / root) * Math.sqrt(((2 * gamma) / (gamma - 1)) * (1 - root));
}

/** 0.1 %: at 100 kPa a tenth of a kilopascal, a few per mille of what an idling port sees. */
const BALANCE_BAND = 1e-3;
const BALANCE_EDGE = 1 - BALANCE_BAND;
const AIR_CRITICAL = criticalPressureRatio(AIR_GAMMA);
const AIR_EDGE_FACTOR = subcritical(BALANCE_EDGE, AIR_GAMMA);
const AIR_CHOKED = subcritical(AIR_CRITICAL, AIR_GAMMA);
const TABLE_STEPS = 2_048;
const TABLE_SCALE = TABLE_STEPS / Math.sqrt(1 - AIR_CRITICAL);
const AIR_TABLE = Float64Array.from({ length: TABLE_STEPS + 2 }, (_, step) =>
  step === 0 ? 0 : subcritical(1 - (step / TABLE_SCALE) ** 2, AIR_GAMMA),
);
