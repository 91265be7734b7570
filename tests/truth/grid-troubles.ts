import type { EngineSpec } from '../engines/engine-spec.ts';
import type { Layout } from '../engines/layouts.ts';
import type { SeededRandom } from '../engines/seeded-random.ts';

export type CaseTrouble = (typeof TROUBLES)[number];

/** What may be wrong with a case's engine or board. Healthy stands for half of the grid. */
export const TROUBLES = [
  'healthy',
  'missed pulses',
  'dead cylinder',
  'weak cylinder',
  'closed-off throttle',
  'hunting',
  'rough',
  'spikes',
  'gaps',
  'stamp jitter',
  'hose lag',
  'hose ringing',
  'restrictor',
  'blip',
  'pop',
  'fallen hose',
  'blocked hose',
  'swapped hoses',
  'shared manifold',
] as const;

/** Troubles of sensors, hoses and the board, not of the engine. */
export const HARDWARE_TROUBLES: readonly CaseTrouble[] = [
  'spikes',
  'gaps',
  'stamp jitter',
  'hose lag',
  'hose ringing',
  'restrictor',
  'fallen hose',
  'blocked hose',
];

/** The same case with its trouble. A shared manifold is another layout and made by `sharedManifold`. */
export function withTrouble(
  spec: EngineSpec,
  trouble: CaseTrouble,
  cycleS: number,
  random: SeededRandom,
): EngineSpec {
  const taps = spec.intakeAnglesDeg.length;
  const channel = random.index(taps);
  const middleS = spec.durationS * random.between(0.35, 0.6);
  const onOne = (value: number): number[] => spec.intakeAnglesDeg.map((_, i) => (i === channel ? value : 1));
  const rpm = typeof spec.rpm === 'number' ? spec.rpm : 0;
  switch (trouble) {
    case 'healthy':
    case 'shared manifold':
      return spec;
    case 'missed pulses':
      return { ...spec, missedChance: random.between(0.01, 0.06), depthScatter: 0.1 };
    case 'dead cylinder':
      return { ...spec, strength: onOne(0) };
    case 'weak cylinder':
      return { ...spec, strength: onOne(random.between(0.15, 0.6)) };
    case 'closed-off throttle':
      return { ...spec, opening: onOne(random.between(0.35, 0.6)) };
    case 'hunting':
      return {
        ...spec,
        hunting: { amplitudeRpm: rpm * random.between(0.02, 0.08), periodS: random.between(0.8, 4) },
      };
    case 'rough':
      return {
        ...spec,
        cycleScatter: random.between(0.02, 0.04),
        depthScatter: 0.1,
        levelScatter: { sdKpa: random.between(0.3, 1), correlation: random.between(0, 0.7) },
      };
    case 'spikes':
      return { ...spec, spikesPerS: random.between(0.5, 8), spikeKpa: random.between(10, 60) };
    case 'gaps':
      return {
        ...spec,
        gaps: [
          { atS: spec.durationS * 0.3, lengthS: random.between(0.2, 0.8) * cycleS },
          { atS: middleS, lengthS: random.between(1, 6) * cycleS },
        ],
      };
    case 'stamp jitter':
      return { ...spec, stampJitterS: random.between(0.05, 0.3) / spec.sampleRateHz };
    case 'hose lag':
      return { ...spec, hose: { lagS: cycleS * random.between(0.02, 0.15) } };
    case 'hose ringing':
      return { ...spec, hose: { ringHz: random.between(60, 200), ringDamping: random.between(0.08, 0.3) } };
    case 'restrictor':
      return { ...spec, hose: { restrictedToKpa: random.between(1, 4) }, noiseKpa: 0.05 };
    case 'blip':
      return { ...spec, ...blip(spec, middleS) };
    case 'pop':
      return { ...spec, pops: [{ channel, atS: middleS, kpa: random.between(15, 45) }] };
    case 'fallen hose':
      return { ...spec, faults: [{ channel, fromS: middleS, kind: 'off' }] };
    case 'blocked hose':
      return { ...spec, faults: [{ channel, fromS: middleS, kind: 'blocked' }] };
    case 'swapped hoses':
      return { ...spec, swappedHoses: [channel, (channel + 1) % taps] };
  }
}

const BLIP_RISE_S = 0.35;
const BLIP_FALL_S = 0.9;
const BLIP_TIMES = 2.2;
const BLIP_MOST_RPM = 6000;

/** The throttle is opened and let go: the speed follows up and down, never beyond 6000 r/min. */
function blip(spec: EngineSpec, atS: number): Partial<EngineSpec> {
  const idle = typeof spec.rpm === 'number' ? spec.rpm : spec.rpm(0);
  const peak = Math.min(idle * BLIP_TIMES, Math.max(BLIP_MOST_RPM, idle));
  const part = (timeS: number): number => {
    const since = timeS - atS;
    if (since <= 0) return 0;
    if (since < BLIP_RISE_S) return Math.sin((Math.PI / 2) * (since / BLIP_RISE_S)) ** 2;
    return Math.exp(-(since - BLIP_RISE_S) / (BLIP_FALL_S / 3));
  };
  return {
    rpm: (timeS) => idle + (peak - idle) * part(timeS),
    throttle: (timeS) => (timeS > atS && timeS < atS + BLIP_RISE_S ? 2 : 1),
  };
}

/** All cylinders draw evenly from one tap. */
export function sharedManifold(
  { strokes }: Layout,
  random: SeededRandom,
): { readonly pulses: number; readonly spec: Partial<EngineSpec> } {
  const cycleDeg = strokes === 4 ? 720 : 360;
  const pulses = 2 + random.index(3);
  const further = Array.from({ length: pulses - 1 }, (_, i) => ((i + 1) * cycleDeg) / pulses);
  return { pulses, spec: { intakeAnglesDeg: [0], furtherPulsesDeg: [further], opening: [1] } };
}
