import { idleHints, MISSED_PER_MINUTE } from '../../signal/condition/idle-hints.ts';
import type { CheckRecord } from './check-record.ts';
import { type CheckRun, type Finding, figure, PLAIN_VIEW, type RunView } from './check-run.ts';

const DEFAULT_WATCH_S = 60;
const SHORTEST_S = 8;
/** Cycles that a picture can show. */
const MOST_PICTURED = 4000;
/** A score up to here is a quiet idle, by our own formula; in between it cannot be told. */
const QUIET_SCORE = 25;
const ROUGH_SCORE = 40;

/** Watches the idle for a while and puts its roughness into figures. */
export class IdleRun implements CheckRun {
  readonly #record: CheckRecord;
  readonly #startS: number;
  readonly #watchS: number;

  constructor(watchS: number | undefined, record: CheckRecord, startS: number) {
    this.#record = record;
    this.#startS = startS;
    this.#watchS = watchS ?? DEFAULT_WATCH_S;
  }

  happen(): void {}

  view(timeS: number): RunView {
    return {
      ...PLAIN_VIEW,
      instruction: 'Warm engine, throttle shut: let it idle and touch nothing.',
      leftS: Math.max(0, this.#watchS - (timeS - this.#startS)),
      canFinish: timeS - this.#startS > SHORTEST_S,
    };
  }

  done(timeS: number): boolean {
    return timeS - this.#startS > this.#watchS;
  }

  finish(): Finding {
    const record = this.#record;
    const { roughness, idleRpm, engineCycleTable, cylinders } = record.takeCycles();
    const { score, hunting } = roughness;
    const verdict =
      score === null || (score > QUIET_SCORE && score < ROUGH_SCORE)
        ? 'cannot-tell'
        : score >= ROUGH_SCORE
          ? 'found'
          : 'not-found';
    const hints = idleHints(roughness, idleRpm?.mean ?? null);
    const after = (timeS: number): number => Math.round(1000 * (timeS - this.#startS)) / 1000;
    const pictured = engineCycleTable.slice(0, MOST_PICTURED);
    return {
      blipShares: null,
      verdict,
      summary:
        score === null
          ? 'Too few cycles were seen for a score.'
          : `Roughness ${score.toFixed(0)} of 100 by our own score: ${verdict === 'found' ? 'a rough idle' : verdict === 'not-found' ? 'a quiet idle' : 'neither quiet nor clearly rough'}.`,
      whatToDo:
        score === null
          ? 'Let the engine idle for longer with every hose on, then repeat.'
          : verdict === 'not-found'
            ? 'Nothing to look for in the idle’s evenness.'
            : verdict === 'found'
              ? 'Go by the hints, the plainest check first, and measure again afterwards: the score compares this engine with itself.'
              : 'Compare with this engine’s earlier figures, or watch for longer.',
      hints: hints.map(({ seen, pointsTo }) => ({ seen, pointsTo })),
      picture: {
        timeS: pictured.map(({ startS, endS }) => after(0.5 * (startS + endS))),
        speedRpm: pictured.map(
          ({ startS, endS }) => Math.round((600 * record.revolutions) / (endS - startS)) / 10,
        ),
        missedS: cylinders.map(
          ({ missedPulsesS }) => missedPulsesS?.slice(0, MOST_PICTURED).map(after) ?? null,
        ),
      },
      rows: [
        {
          name: 'Engine, rough idle',
          verdict,
          strength: null,
          whatToDo: '',
          figures: [
            ...figure('roughness score', score, ''),
            ...figure('idle speed', idleRpm?.mean ?? null, 'r/min'),
            ...figure('cycle length scatter', roughness.cycleLengthCovPercent, '%'),
            ...figure('choppiness', roughness.choppinessPercent, '%'),
            ...figure('hunting swing', hunting?.amplitudeRpm ?? null, 'r/min'),
            ...figure('hunting period', hunting?.periodS ?? null, 's'),
          ],
        },
        ...roughness.perCylinder.map((one, cylinder) => ({
          name: `Cylinder ${cylinder + 1}, missed pulses`,
          verdict:
            one.missedPerMinute === null
              ? ('cannot-tell' as const)
              : one.missedPerMinute >= MISSED_PER_MINUTE
                ? ('found' as const)
                : ('not-found' as const),
          strength: null,
          whatToDo: one.missedPerMinute === null ? 'Its pulses cannot be told: check its hose.' : '',
          figures: [
            ...figure('missed or weak pulses a minute', one.missedPerMinute, ''),
            ...figure('pulse depth scatter', one.depthCovPercent, '%'),
            ...figure(
              'shallowest pulse',
              one.lowestNormalisedCycle === null ? null : 100 * one.lowestNormalisedCycle,
              '%',
            ),
          ],
        })),
      ],
    };
  }
}
