import { CHECK_NAMES } from '../../contract/check-words.ts';
import type { CheckGuide, CheckKind } from '../../contract/checks.ts';
import { CAUTIONS, type CautionId } from '../../signal/condition/check-cautions.ts';
import { COMPLAINTS, GUIDE_BASIS } from '../../signal/condition/complaint-guide.ts';

interface Description {
  readonly kind: CheckKind;
  readonly tells: string;
  readonly cautions: readonly CautionId[];
  readonly steps: readonly string[];
}

/** In the order in which they are usually made: standing, on the starter, idling, blipped. */
const DESCRIPTIONS: readonly Description[] = [
  {
    kind: 'key-off',
    tells: 'Whether the sensors agree with the air’s pressure, and with each other.',
    cautions: [],
    steps: ['Engine off.', 'All hoses as they are for measuring.', 'Start, and wait three seconds.'],
  },
  {
    kind: 'cranking',
    tells:
      'Whether a cylinder breathes clearly worse than the others. It is rough, and not a compression test.',
    cautions: ['starter', 'service-data'],
    steps: ['Ignition off, throttles shut, neutral.', 'Start, then crank for five seconds.'],
  },
  {
    kind: 'idle-quality',
    tells: 'How even the idle is, which cylinder misses, whether it hunts, and what that commonly points to.',
    cautions: ['running-engine', 'exhaust'],
    steps: ['Warm engine at idle, throttle shut.', 'Start, and touch nothing until it ends.'],
  },
  {
    kind: 'spot',
    tells: 'Whether air leaks in at a boot, cap or hose that you cover for a moment.',
    cautions: ['running-engine', 'exhaust', 'water-only', 'service-data'],
    steps: [
      'Name the spots.',
      'Warm engine at idle.',
      'Cover each spot when it is asked for, with water mist, finger or clamp, and hold the button all the while.',
      'Some turns ask you to touch nothing: they show what the idle does by itself.',
    ],
  },
  {
    kind: 'hold',
    tells: 'Whether a tap, diaphragm or hose holds a vacuum, and how big the leak is.',
    cautions: ['hand-pump', 'service-data'],
    steps: [
      'Put the part, the hand pump and one hose of the board on a tee.',
      'Start, pump down, let go.',
      'Watch until it ends.',
    ],
  },
  {
    kind: 'two-opening',
    tells: 'Whether a cylinder that gets too much air has a leak or a linkage that is off.',
    cautions: ['running-engine', 'exhaust', 'service-data'],
    steps: ['Watch the idle.', 'Raise the speed to two or three times the idle and hold it.', 'Watch again.'],
  },
  {
    kind: 'drop',
    tells: 'Which cylinder does its work, by the speed that is lost without it.',
    cautions: ['running-engine', 'exhaust', 'spark-off', 'service-data'],
    steps: [
      'Warm engine at idle, ways to switch each cylinder off prepared with the engine stopped.',
      'Switch each cylinder off for five seconds when it is asked for, and hold the button all the while.',
    ],
  },
  {
    kind: 'blip',
    tells: 'Whether a vacuum slide lags behind the others, as with a torn diaphragm.',
    cautions: ['running-engine', 'exhaust', 'blip'],
    steps: [
      'Warm engine at idle.',
      'Blip the throttle five times, four seconds apart. Each blip is seen by itself: there is nothing to press.',
    ],
  },
];

export function checkGuide(): CheckGuide {
  const texts = (ids: readonly CautionId[]): string[] => ids.map((id) => CAUTIONS[id]);
  return {
    checks: DESCRIPTIONS.map((one) => ({
      ...one,
      name: CHECK_NAMES[one.kind],
      cautions: texts(one.cautions),
      steps: [...one.steps],
    })),
    basis: GUIDE_BASIS,
    complaints: COMPLAINTS.map(({ id, complaint, steps }) => ({
      id,
      complaint,
      steps: steps.map((step) => ({ ...step, cautions: texts(step.cautions) })),
    })),
  };
}
