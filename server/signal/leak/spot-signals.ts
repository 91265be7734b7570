/** What a press may move, as series over engine cycles. */
import type { SpotSeries } from './spot-series.ts';

export type SpotSignalKind = 'idle-speed' | 'common-vacuum' | 'cylinder-vacuum' | 'roughness';

export interface SpotSignal {
  readonly kind: SpotSignalKind;
  /** 0-based, of a cylinder's vacuum; else null. */
  readonly cylinder: number | null;
  readonly timeS: readonly number[];
  /** Idle speed [% of itself]; vacuum [kPa]; roughness: root of the relative change of length to the next cycle [√%]. */
  readonly values: readonly number[];
  /** What goes along with it for other reasons than a press: the mean of the other cylinders, or the speed. */
  readonly companions: readonly (readonly number[])[];
  /** Part of a spot's chance of a false alarm that this signal may use. */
  readonly weight: number;
}

/** Idle speed answers to every leak, the vacuum of one against the others to a leak that reaches a single cylinder. */
const WEIGHTS = { speed: 0.5, roughness: 0.05, common: 0.05, cylinders: 0.4 };

export function spotSignals({ timeS, speedRpm, vacuumKpa }: SpotSeries): SpotSignal[] {
  const signals: SpotSignal[] = [
    {
      kind: 'idle-speed',
      cylinder: null,
      timeS,
      values: speedRpm.map((rpm) => 100 * Math.log(rpm)),
      companions: [],
      weight: WEIGHTS.speed,
    },
    {
      kind: 'roughness',
      cylinder: null,
      timeS: timeS.slice(1),
      values: speedRpm.slice(1).map((rpm, at) => Math.sqrt(Math.abs(100 * Math.log(rpm / speedRpm[at]!)))),
      companions: [],
      weight: WEIGHTS.roughness,
    },
  ];
  const sensed = vacuumKpa.flatMap((row, cylinder) =>
    row.filter((value) => value !== null).length > row.length / 2 ? [cylinder] : [],
  );
  const whole = timeS.flatMap((_, at) => (sensed.every((c) => vacuumKpa[c]![at] != null) ? [at] : []));
  const times = whole.map((at) => timeS[at]!);
  const meanOf = (cylinders: readonly number[]): number[] =>
    whole.map((at) => cylinders.reduce((sum, c) => sum + vacuumKpa[c]![at]!, 0) / cylinders.length);
  if (sensed.length > 0) {
    // At the same opening a quicker idle has more vacuum; a leak makes it quicker with less. So at equal speed the mean
    // vacuum tells the opening of all together, however the speed wanders.
    signals.push({
      kind: 'common-vacuum',
      cylinder: null,
      timeS: times,
      values: meanOf(sensed),
      companions: [whole.map((at) => 100 * Math.log(speedRpm[at]!))],
      weight: WEIGHTS.common,
    });
  }
  for (const cylinder of sensed) {
    const others = sensed.filter((other) => other !== cylinder);
    signals.push({
      kind: 'cylinder-vacuum',
      cylinder,
      timeS: times,
      values: meanOf([cylinder]),
      companions: others.length > 0 ? [meanOf(others)] : [],
      weight: WEIGHTS.cylinders / sensed.length,
    });
  }
  return signals;
}
