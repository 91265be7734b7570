/**
 * From what the owner complains of to checks in a sensible order. All of it is common practice without a source: an order
 * of looking, no diagnosis. The service data of the machine come first.
 */
import type { CautionId } from './check-cautions.ts';

/** A check that this instrument guides, or one that is done by hand. */
export type GuideCheck =
  | 'key-off'
  | 'cranking'
  | 'idle-quality'
  | 'spot'
  | 'hold'
  | 'two-opening'
  | 'drop'
  | 'blip'
  | 'balance'
  | 'by-hand';

export interface GuideStep {
  readonly check: GuideCheck;
  /** What is looked at. */
  readonly what: string;
  readonly because: string;
  readonly cautions: readonly CautionId[];
}

export interface Complaint {
  readonly id: string;
  readonly complaint: string;
  readonly steps: readonly GuideStep[];
}

export const GUIDE_BASIS = 'common practice, no source';

const RUNNING: readonly CautionId[] = ['running-engine', 'exhaust'];

const KEY_OFF: GuideStep = {
  check: 'key-off',
  what: 'All sensors at the air’s pressure with the engine off',
  because: 'a sensor with a zero that is off makes a fault where there is none',
  cautions: [],
};
const CLEARANCE: GuideStep = {
  check: 'by-hand',
  what: 'Valve clearances, cold',
  because: 'a valve that does not seat or hardly opens cannot be balanced away',
  cautions: ['service-data'],
};
const SPARK: GuideStep = {
  check: 'by-hand',
  what: 'Plugs, caps and leads',
  because: 'it costs minutes, and a weak spark shows at idle first',
  cautions: ['spark-off'],
};
const SPOT: GuideStep = {
  check: 'spot',
  what: 'Boots, caps and hoses of the intake, spot by spot',
  because: 'air behind the throttle thins the mixture of that cylinder, most of all at idle',
  cautions: [...RUNNING, 'water-only'],
};
const HOLD: GuideStep = {
  check: 'hold',
  what: 'Vacuum tap, its hose and what else hangs on a port, pumped down by hand',
  because: 'what should hold vacuum and does not lets air in, or fuel',
  cautions: ['hand-pump', 'service-data'],
};
const DROP: GuideStep = {
  check: 'drop',
  what: 'Each cylinder disabled in turn',
  because: 'a cylinder that is not missed when it is off does no work',
  cautions: [...RUNNING, 'spark-off'],
};
const BLIP: GuideStep = {
  check: 'blip',
  what: 'How each cylinder answers a blip of the throttle',
  because: 'a torn diaphragm lifts its slide late',
  cautions: [...RUNNING, 'blip'],
};
const IDLE: GuideStep = {
  check: 'idle-quality',
  what: 'Idle quality over a minute: missed pulses, hunting, scatter',
  because: 'it tells one cylinder from all, and regular from random',
  cautions: RUNNING,
};
const TWO: GuideStep = {
  check: 'two-opening',
  what: 'Openings compared at idle and at a raised speed',
  because: 'a leak stays as it is when the throttles open, a linkage that is off grows with them',
  cautions: RUNNING,
};
const BALANCE: GuideStep = {
  check: 'balance',
  what: 'Balance of the throttles',
  because: 'it comes last: balancing hides a leak or a dead cylinder and does not mend it',
  cautions: RUNNING,
};
const CRANKING: GuideStep = {
  check: 'cranking',
  what: 'Vacuum of each cylinder on the starter',
  because: 'it shows a cylinder that breathes badly before the engine has to run',
  cautions: ['starter', 'service-data'],
};
const byHand = (
  what: string,
  because: string,
  cautions: readonly CautionId[] = ['service-data'],
): GuideStep => ({
  check: 'by-hand',
  what,
  because,
  cautions,
});

export const COMPLAINTS: readonly Complaint[] = [
  {
    id: 'rough-idle',
    complaint: 'It idles rough',
    steps: [KEY_OFF, IDLE, SPARK, DROP, SPOT, CLEARANCE, BALANCE],
  },
  {
    id: 'hunting-idle',
    complaint: 'The idle rises and falls by itself',
    steps: [
      IDLE,
      SPOT,
      HOLD,
      byHand('Idle mixture and pilot jets', 'a lean idle hunts'),
      byHand(
        'Throttle cable play, sticking throttle',
        'a throttle that does not come to its stop has no idle',
      ),
      BALANCE,
    ],
  },
  {
    id: 'high-idle',
    complaint: 'The idle is too high or comes down slowly',
    steps: [
      byHand(
        'Cable play, throttle stop, choke or enrichener fully off',
        'a throttle held open looks like a leak',
      ),
      SPOT,
      HOLD,
      TWO,
      BALANCE,
    ],
  },
  {
    id: 'dies-at-idle',
    complaint: 'It dies at idle',
    steps: [
      byHand(
        'Fuel flow, tank vent, idle speed screw',
        'an engine without fuel or idle speed dies, however well balanced',
      ),
      IDLE,
      DROP,
      byHand('Pilot jets and float levels', 'the idle runs on the smallest jet, which blocks first'),
      CLEARANCE,
    ],
  },
  {
    id: 'one-cylinder-missing',
    complaint: 'It runs on one cylinder less',
    steps: [
      DROP,
      SPARK,
      CRANKING,
      byHand('Compression', 'spark and fuel do nothing without it', ['starter', 'service-data']),
      CLEARANCE,
    ],
  },
  {
    id: 'flat-spot',
    complaint: 'It hesitates when the throttle is opened',
    steps: [
      BLIP,
      byHand('Slides, needles and diaphragms by eye', 'a sticking slide answers like a torn diaphragm'),
      SPOT,
      byHand('Air filter and its seals', 'the slide feels the pressure in the air box'),
      BALANCE,
    ],
  },
  {
    id: 'hard-start',
    complaint: 'It starts badly',
    steps: [
      byHand('Battery and starter speed', 'a slow starter draws no mixture and makes a weak spark'),
      CRANKING,
      SPARK,
      CLEARANCE,
      SPOT,
    ],
  },
  {
    id: 'vibration',
    complaint: 'It vibrates or rattles at low speed',
    steps: [
      KEY_OFF,
      BALANCE,
      IDLE,
      byHand('Mounts, chain and clutch', 'not every shake comes from the intake'),
    ],
  },
  {
    id: 'pops-on-overrun',
    complaint: 'It pops in the exhaust with the throttle shut',
    steps: [
      byHand('Exhaust joints', 'air drawn into the exhaust makes it pop'),
      SPOT,
      byHand('Air cut-off valve and its diaphragm', 'torn, it leans out the overrun'),
      BALANCE,
    ],
  },
];
