/** Someone who does what the sentence says and knows nothing else: one hand, a screwdriver, about a third out. */
import type { Random } from '../../../../server/practice/random.ts';
import type { Advisor } from '../../../../server/signal/advice/advisor.ts';
import { GO_IDLE_SENTENCE, GO_RAISED_SENTENCE } from '../../../../server/signal/advice/two-points.ts';
import { type BalancingEngine, worstTrueGapKpa } from './balancing-engine.ts';

export interface HandOptions {
  readonly reference: number | 'mean';
  /** Every turn is off by up to this part. */
  readonly sloppiness: number;
  /** Probability that the throttle is cracked open after a turn. */
  readonly blips: number;
  /** The idle screw is turned when the reminder says so. */
  readonly setsIdle: boolean;
  readonly idleRpm: number;
}

export interface BalancingRun {
  /** Turns of balance screws until it was called equal. */
  readonly moves: number;
  readonly equal: boolean;
  /** Furthest cylinder from the reference, truly, at the end [kPa]. */
  readonly worstKpa: number;
  readonly durationS: number;
  readonly sentences: readonly string[];
}

const LOOK_EVERY_S = 0.1;
/** A sentence is acted on when it has stood for so long [s]. */
const READ_S = 0.6;
/** After a turn it is given this long to settle, unless the sentence changes sooner [s]. */
const SETTLE_S = 3;
const MOST_MOVES = 25;
const PATIENCE_S = 60;
/** 'A little': from an eighth to three eighths of a turn. */
const LITTLE_TURNS = [0.125, 0.375] as const;
const TURNS_PER_S = 0.5;
/** Throttle held for the raised speed [areas of a throttle at idle]. */
const HELD_OPENING = 1.3;

const AMOUNT_WORDS: readonly (readonly [RegExp, number])[] = [
  [/only a touch/, 0.06],
  [/an eighth/, 0.125],
  [/three quarters/, 0.75],
  [/a quarter/, 0.25],
  [/a third/, 1 / 3],
  [/one and a half times/, 1.5],
  [/half/, 0.5],
  [/twice/, 2],
  [/three times/, 3],
  [/four times/, 4],
  [/six times/, 6],
  [/about as (much again|far)/, 1],
];

/** What a person takes from a sentence, or null when it asks for no turn. */
export function understood(
  sentence: string,
  names: readonly string[],
): { readonly screw: number; readonly fraction: number | null } | null {
  if (!/\bturn\b/i.test(sentence)) return null;
  const screw = names.findIndex((name) => sentence.includes(`urn ${name} `));
  if (screw < 0) throw new Error(`No screw is named in "${sentence}"`);
  if (sentence.includes('a little, either way')) return { screw, fraction: null };
  const amount = AMOUNT_WORDS.find(([words]) => words.test(sentence));
  if (amount === undefined) throw new Error(`No amount is named in "${sentence}"`);
  if (sentence.includes('the same way')) return { screw, fraction: amount[1] };
  if (/ back[ ,]/.test(sentence)) return { screw, fraction: -amount[1] };
  throw new Error(`No direction is named in "${sentence}"`);
}

export function balanceByHand(
  engine: BalancingEngine,
  advisor: Advisor,
  random: Random,
  options: HandOptions,
): BalancingRun {
  const names = advisor.linkage.screws.map(({ name }) => name);
  const lastTurns = names.map(() => 0);
  const sentences: string[] = [];
  let moves = 0;
  let quietS = 0;
  let heard: string | null = null;
  let heardS = 0;
  /** Something was turned, and the sentence is still that from before. */
  let turned = false;
  let base = 0;
  const look = (): void => {
    advisor.push(engine.advance(LOOK_EVERY_S));
    const { sentence } = advisor.advice();
    if (sentence === heard) heardS += LOOK_EVERY_S;
    else {
      heardS = 0;
      turned = false;
    }
    heard = sentence;
  };
  const turnSlowly = (turns: number, turn: (part: number) => void): void => {
    const steps = Math.max(1, Math.round(Math.abs(turns) / TURNS_PER_S / LOOK_EVERY_S));
    for (let step = 0; step < steps; step++) {
      turn(turns / steps);
      look();
    }
  };
  const turnScrew = (screw: number, fraction: number | null, again: boolean): void => {
    const off = 1 + options.sloppiness * (2 * random.uniform() - 1);
    const [least, most] = LITTLE_TURNS;
    const little = least * (most / least) ** random.uniform() * (random.uniform() < 0.5 ? -1 : 1);
    // Where nothing seems to have come of it, the same is done once more, and counts as one with it.
    if (!again) base = lastTurns[screw]!;
    // Nobody turns further what was not turned yet.
    const turns = (fraction === null || base === 0 ? little : fraction * base) * off;
    turnSlowly(turns, (part) => engine.turn(screw, part));
    lastTurns[screw] = again ? lastTurns[screw]! + turns : turns;
    if (random.uniform() < options.blips) engine.blip();
  };
  const setIdle = (): void => {
    // One turn of the idle screw is worth about a fifth of the speed.
    const turns = ((options.idleRpm / engine.trueRpm - 1) / 0.2) * (1 + 0.15 * random.normal());
    turnSlowly(turns, (part) => engine.turnIdleScrew(part));
  };
  for (;;) {
    look();
    quietS += LOOK_EVERY_S;
    if (moves >= MOST_MOVES || quietS > PATIENCE_S) break;
    if (heard === null || heardS < (turned ? SETTLE_S : READ_S)) continue;
    sentences.push(heard);
    quietS = 0;
    const reminder = advisor.advice().idle.sentence;
    if (options.setsIdle && reminder !== null) {
      setIdle();
      heardS = READ_S - SETTLE_S;
      continue;
    }
    if (heard === GO_RAISED_SENTENCE || heard === GO_IDLE_SENTENCE) {
      engine.hold(heard === GO_RAISED_SENTENCE ? HELD_OPENING : 0);
      heardS = READ_S - SETTLE_S;
      continue;
    }
    const task = understood(heard, names);
    if (task === null) break;
    moves++;
    turnScrew(task.screw, task.fraction, turned);
    heardS = 0;
    turned = true;
  }
  const equal = sentences.at(-1)?.startsWith('Equal') ?? false;
  return {
    moves,
    equal,
    worstKpa: worstTrueGapKpa(engine, options.reference),
    durationS: engine.timeS,
    sentences,
  };
}
