import { describe, expect, it } from 'vitest';
import { balanceOf, helmertAxes } from '../../../../server/signal/advice/gap-space.ts';
import { MoveDetector, PAUSE_S } from '../../../../server/signal/advice/move-detector.ts';
import type { Settling } from '../../../../server/signal/reading.ts';
import { readingOf } from './reading-of.ts';

const AXES = helmertAxes(2);

/** Steps a detector by readings of a set whose second cylinder stands off by so much. */
class Stepped {
  readonly detector = new MoveDetector();
  timeS = 0;
  #cycles = 0;

  run(
    durationS: number,
    gapKpa: number,
    settling: Settling,
    options: { rpm?: number | null; everyS?: number } = {},
  ) {
    const { rpm = 1100, everyS = 0.1 } = options;
    if (settling === 'moving') this.#cycles = 0;
    const untilS = this.timeS + durationS;
    while (this.timeS < untilS - 1e-9) {
      this.timeS += everyS;
      this.#cycles += Math.round(10 * everyS);
      const reading = readingOf({ timeS: this.timeS, gapsKpa: [0, gapKpa], cycles: this.#cycles, settling });
      const balance = balanceOf(reading, AXES, 0, [], { rpm, steadyRpm: rpm });
      this.detector.push(this.timeS, balance, settling, null);
    }
    return this;
  }

  lose(): void {
    this.timeS += 0.1;
    this.#cycles = 0;
    this.detector.push(this.timeS, null, 'moving', null);
  }

  /** Change of the second cylinder's gap [kPa]. */
  get moved(): number | null {
    const { move } = this.detector;
    return move === null ? null : -move.change[0]! * Math.SQRT2;
  }
}

describe('the moves in a stream of readings', () => {
  it('steady, moving, steady again is one move with its change', () => {
    const stepped = new Stepped().run(5, 3, 'steady').run(1, 2, 'moving').run(0.5, 1.2, 'settling');
    expect(stepped.moved).toBeNull();
    stepped.run(3, 1, 'steady');
    expect(stepped.moved).toBeCloseTo(-2, 6);
    expect(stepped.detector.stretches).toBe(2);
  });

  it('its uncertainty is that of both ends', () => {
    const stepped = new Stepped().run(5, 3, 'steady').run(1, 2, 'moving').run(3, 1, 'steady');
    const { before, after, covariance } = stepped.detector.move!;
    expect(covariance[0]![0]).toBeCloseTo(before.covariance[0]![0]! + after.covariance[0]![0]!, 12);
    expect(covariance[0]![0]).toBeGreaterThan(0);
  });

  it('small turns with less than a pause between them are one', () => {
    const stepped = new Stepped().run(5, 3, 'steady');
    for (const gap of [2.5, 2, 1.5]) {
      stepped.run(0.6, gap, 'moving').run(PAUSE_S - 0.3, gap, 'steady');
    }
    stepped.run(0.6, 1, 'moving').run(3, 1, 'steady');
    expect(stepped.moved).toBeCloseTo(-2, 6);
    expect(stepped.detector.stretches).toBe(2);
  });

  it('with a pause between them they are two', () => {
    const stepped = new Stepped()
      .run(5, 3, 'steady')
      .run(0.6, 2, 'moving')
      .run(PAUSE_S + 0.5, 2, 'steady');
    stepped.run(0.6, 1, 'moving').run(3, 1, 'steady');
    expect(stepped.moved).toBeCloseTo(-1, 6);
    expect(stepped.detector.stretches).toBe(3);
  });

  it('five readings a second are enough, even when none of them shows the moving', () => {
    const stepped = new Stepped().run(5, 3, 'steady', { everyS: 0.2 }).run(0.2, 1, 'moving', { everyS: 0.2 });
    const missed = new Stepped();
    missed.run(5, 3, 'steady', { everyS: 0.2 });
    missed.lose();
    stepped.run(3, 1, 'steady', { everyS: 0.2 });
    missed.run(3, 1, 'steady', { everyS: 0.2 });
    expect(stepped.moved).toBeCloseTo(-2, 6);
    expect(missed.moved).toBeCloseTo(-2, 6);
  });

  it('a lost reading or a stopped engine does not lose where the set stood', () => {
    const stepped = new Stepped().run(5, 3, 'steady');
    for (let i = 0; i < 50; i++) stepped.lose();
    expect(stepped.detector.settled).toBeNull();
    stepped.run(3, 3.5, 'steady');
    expect(stepped.moved).toBeCloseTo(0.5, 6);
  });

  it('time that runs backwards is a new recording', () => {
    const stepped = new Stepped().run(5, 3, 'steady');
    stepped.timeS = 0;
    stepped.run(3, 1, 'steady');
    expect(stepped.moved).toBeNull();
    expect(stepped.detector.settled).not.toBeNull();
  });

  it('waits for the speed to stand still, but not for ever', () => {
    const stepped = new Stepped().run(5, 3, 'steady').run(1, 1, 'moving').run(3, 1, 'steady', { rpm: null });
    expect(stepped.moved).toBeNull();
    stepped.run(3, 1, 'steady', { rpm: null });
    expect(stepped.moved).toBeCloseTo(-2, 6);
    expect(stepped.detector.move!.logSpeedRatio).toBeNull();
  });

  it('tells the speed after over that before', () => {
    const stepped = new Stepped().run(5, 3, 'steady').run(1, 1, 'moving').run(3, 1, 'steady', { rpm: 1210 });
    expect(Math.exp(stepped.detector.move!.logSpeedRatio!)).toBeCloseTo(1.1, 6);
  });
});
