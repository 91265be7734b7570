import { describe, expect, it } from 'vitest';
import { defaultControls } from '../../../server/practice/engine-controls.ts';
import { engineParameters } from '../../../server/practice/engine-parameters.ts';
import { layoutById } from '../../../server/practice/layouts.ts';
import { BLIP_S, ThrottleHand } from '../../../server/practice/throttle-hand.ts';
import { Throttles } from '../../../server/practice/throttles.ts';
import { VacuumSlide } from '../../../server/practice/vacuum-slide.ts';
import { ValveLift } from '../../../server/practice/valve-lift.ts';

const FOUR = layoutById('four-inline');
const PARAMETERS = engineParameters(FOUR, 101.325);
const IDLING = new Float64Array(4).fill(58_000);

function areas(change: (controls: ReturnType<typeof defaultControls>) => void): number[] {
  const controls = { ...defaultControls(FOUR), mismatchTurns: [0, 0, 0, 0] };
  change(controls);
  const throttles = new Throttles(PARAMETERS);
  throttles.step(controls, IDLING, 0.001);
  return [...throttles.airAreaM2];
}

describe('Throttles on cables', () => {
  const CABLES = layoutById('twin-180-cables');
  const parameters = engineParameters(CABLES, 101.325);
  /** Openings with the hand so, as parts of the opening at idle; stops and cables are even but for the change. */
  const openings = (
    throttle: number,
    change: (controls: ReturnType<typeof defaultControls>) => void = () => {},
  ): number[] => {
    const controls = { ...defaultControls(CABLES), mismatchTurns: [0, 0], throttle };
    // The second cable as the first: its adjuster makes up for how it is found.
    controls.balanceTurns = [0, 0, 0, -CABLES.cableMismatchTurns![1]!];
    change(controls);
    const throttles = new Throttles(parameters);
    throttles.step(controls, Float64Array.from([58_000, 58_000]), 0.001);
    return [...throttles.airAreaM2].map((area) => area / parameters.idleAreaM2);
  };
  const turn = (screw: number, turns: number) => (controls: ReturnType<typeof defaultControls>) => {
    controls.balanceTurns[screw]! += turns;
  };

  it('rest on their stops while the cables are slack: a stop screw moves its own, an adjuster nothing', () => {
    const even = openings(0);
    expect(openings(0, turn(0, 0.5))[0]).toBeGreaterThan(even[0]! * 1.05);
    expect(openings(0, turn(0, 0.5))[1]).toBe(even[1]);
    expect(openings(0, turn(2, 0.5))).toEqual(even);
  });

  it('hang on their cables at a raised speed: an adjuster moves its own, a stop screw nothing', () => {
    const even = openings(0.09);
    expect(even[0]).toBeGreaterThan(2);
    expect(even[1]).toBeCloseTo(even[0]!, 6);
    expect(openings(0.09, turn(3, 0.5))[1]).toBeGreaterThan(even[1]! * 1.05);
    expect(openings(0.09, turn(3, 0.5))[0]).toBe(even[0]);
    expect(openings(0.09, turn(1, 0.5))).toEqual(even);
  });

  it('are held off their stops by a cable without slack', () => {
    expect(openings(0, turn(2, 8))[0]).toBeGreaterThan(openings(0)[0]! * 1.5);
  });
});

describe('Throttles', () => {
  const even = areas(() => {});

  it('stand at the idle opening when practice starts', () => {
    for (const area of even) expect(area / PARAMETERS.idleAreaM2).toBeCloseTo(1, 1);
    expect(new Set(even).size).toBe(1);
  });

  it('are all moved by the idle screw, and only their own by the balance screws', () => {
    const idle = areas((controls) => {
      controls.idleTurns += 0.5;
    });
    for (const [cyl, area] of idle.entries()) expect(area).toBeGreaterThan(even[cyl]! * 1.05);
    const pairs = areas((controls) => {
      controls.balanceTurns = [0, 0, 0.5];
    });
    expect(pairs.map((area, cyl) => area > even[cyl]! * 1.05)).toEqual([true, true, false, false]);
    const within = areas((controls) => {
      controls.balanceTurns = [0, -0.5, 0];
    });
    expect(within.map((area, cyl) => area < even[cyl]! * 0.95)).toEqual([false, false, false, true]);
  });

  it('never shut more tightly than plates do', () => {
    for (const area of areas((controls) => {
      controls.idleTurns = -5;
    })) {
      expect(area).toBeGreaterThan(0);
      expect(area).toBeLessThan(0.02 * PARAMETERS.idleAreaM2);
    }
  });

  it('let a leak add the area of its hole, Cd pi d² / 4', () => {
    const leaking = areas((controls) => {
      controls.leakMm = [0, 2, 0, 0];
    });
    expect(leaking[1]! - even[1]!).toBeCloseTo(0.6 * Math.PI * 1e-6, 12);
    expect(leaking[0]).toBe(even[0]);
  });
});

describe('a vacuum slide', () => {
  const liftAfter = (depressionPa: number, torn: boolean, seconds: number) => {
    const slide = new VacuumSlide();
    for (let step = 0; step < Math.round(seconds / 0.001); step++) slide.step(depressionPa, torn, 0.001);
    return slide.lift;
  };

  it('rests at the depression of an idle and rises with more', () => {
    expect(liftAfter(1_500, false, 1)).toBe(0);
    expect(liftAfter(10_000, false, 0.2)).toBe(1);
  });

  it('rises many times later with a torn diaphragm', () => {
    expect(liftAfter(15_000, true, 0.2)).toBeLessThan(0.2 * liftAfter(15_000, false, 0.2));
  });

  it('falls back when the depression is gone', () => {
    const slide = new VacuumSlide();
    slide.lift = 1;
    for (let step = 0; step < 500; step++) slide.step(0, false, 0.001);
    expect(slide.lift).toBe(0);
    expect(slide.opening).toBeGreaterThan(0);
  });
});

describe('the hand on the throttle', () => {
  it('opens for a blip and is back where it was after it', () => {
    const hand = new ThrottleHand(0.1);
    hand.blip(10, 0.5);
    expect(hand.openingAt(10)).toBe(0.1);
    expect(hand.openingAt(10 + BLIP_S / 2)).toBe(0.5);
    expect(hand.openingAt(10 + BLIP_S)).toBe(0.1);
    expect(hand.openingAt(100)).toBe(0.1);
  });

  it('opens from 0 to 1 and no further', () => {
    expect(() => new ThrottleHand(1.2)).toThrow(RangeError);
    const hand = new ThrottleHand(0);
    expect(() => {
      hand.held = -0.1;
    }).toThrow(RangeError);
    expect(() => hand.blip(0, Number.NaN)).toThrow(RangeError);
  });
});

describe('ValveLift', () => {
  it('is shut outside its angles, half open at a quarter and fully open at the middle', () => {
    const lift = new ValveLift(350, 590);
    expect([lift.at(349), lift.at(350), lift.at(590), lift.at(20)]).toEqual([0, 0, 0, 0]);
    expect(lift.at(410)).toBeCloseTo(0.5, 9);
    expect(lift.at(470)).toBeCloseTo(1, 9);
  });

  it('cannot close before it opens', () => {
    expect(() => new ValveLift(100, 90)).toThrow(RangeError);
  });
});
