import { describe, expect, it } from 'vitest';
import { Random } from '../../../../server/practice/random.ts';
import { IdleSpeedCheck, SpeedWatch } from '../../../../server/signal/advice/idle-speed-check.ts';

const BAND = { targetRpm: 1100, bandRpm: 50 };

describe('the idle speed against its band', () => {
  it('is inside, high or low, and not known without a band or a speed', () => {
    const state = (rpm: number | null, band: typeof BAND | null = BAND) => {
      const check = new IdleSpeedCheck();
      check.push(rpm, band, null);
      return check.view.state;
    };
    expect([1060, 1100, 1149].map((rpm) => state(rpm))).toEqual(['inside', 'inside', 'inside']);
    expect(state(1170)).toBe('high');
    expect(state(1030)).toBe('low');
    expect(state(null)).toBeNull();
    expect(state(1100, null)).toBeNull();
  });

  it('reminds when balancing has moved it out, until it is back', () => {
    const check = new IdleSpeedCheck();
    check.push(1100, BAND, null);
    check.push(1180, BAND, 1100);
    expect(check.view.sentence).toMatch(/raised the idle speed: bring it back down with the idle screw/);
    check.push(1180, BAND, null);
    expect(check.view.sentence).not.toBeNull();
    check.push(1110, BAND, null);
    expect(check.view).toEqual({ state: 'inside', sentence: null });
  });

  it('says the other way round when it was lowered', () => {
    const check = new IdleSpeedCheck();
    check.push(1020, BAND, 1110);
    expect(check.view.sentence).toMatch(/lowered the idle speed: bring it back up/);
  });

  it('says nothing of an idle that was out before any screw was turned', () => {
    const check = new IdleSpeedCheck();
    check.push(1300, BAND, null);
    expect(check.view).toEqual({ state: 'high', sentence: null });
  });

  it('does not put down to the screws what they have bettered', () => {
    const check = new IdleSpeedCheck();
    check.push(1300, BAND, null);
    check.push(1200, BAND, 1300);
    expect(check.view).toEqual({ state: 'high', sentence: null });
  });

  it('keeps to what it found while the speed is not steady', () => {
    const check = new IdleSpeedCheck();
    check.push(1180, BAND, 1100);
    check.push(null, BAND, null);
    expect(check.view.state).toBe('high');
  });

  it('does not flicker at the edge of the band', () => {
    const check = new IdleSpeedCheck();
    const states = [1149, 1152, 1149, 1153, 1156, 1152, 1151, 1148].map((rpm) => {
      check.push(rpm, BAND, null);
      return check.view.state;
    });
    expect(states).toEqual(['inside', 'inside', 'inside', 'inside', 'high', 'high', 'high', 'inside']);
  });
});

describe('the speed over the last seconds (seed 3)', () => {
  const run = (rpmAt: (timeS: number) => number | null, untilS: number) => {
    const random = new Random(3);
    const watch = new SpeedWatch();
    for (let timeS = 0; timeS <= untilS; timeS += 0.1) {
      const rpm = rpmAt(timeS);
      watch.push(timeS, rpm === null ? null : rpm * (1 + 0.01 * random.normal()));
    }
    return watch;
  };

  it('stands still at an idle that scatters by a percent', () => {
    expect(run(() => 1100, 10).steadyRpm).toBeCloseTo(1100, -2);
  });

  it('does not after a blip, for some seconds', () => {
    const blip = (timeS: number) => 1100 + (timeS > 5 ? 900 * Math.exp(-(timeS - 5) / 0.7) : 0);
    expect(run(blip, 6.5).steadyRpm).toBeNull();
    expect(run(blip, 11).steadyRpm).toBeCloseTo(1100, -2);
  });

  it('is not known of an engine that does not run, nor for the first moments', () => {
    expect(run((timeS) => (timeS < 5 ? 1100 : null), 6).rpm).toBeNull();
    expect(run(() => 1100, 1).steadyRpm).toBeNull();
  });
});
