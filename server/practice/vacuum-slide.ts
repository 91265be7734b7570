/**
 * The slide of a vacuum carburettor: it stands in the venturi before the throttle plate and is lifted by the
 * depression of the air that passes it. At idle it rests on its stop, where it is far wider than the throttle plate
 * and does not show. A torn diaphragm holds no vacuum: the slide rises late, slowly and only in part.
 */
export class VacuumSlide {
  /** 0 on its stop, 1 fully up. */
  lift = 0;

  /** Part of the full venturi that is open. */
  get opening(): number {
    return RESTING_OPENING + (1 - RESTING_OPENING) * this.lift;
  }

  /**
   * @param depressionPa drop of pressure across the slide
   * @param torn whether the diaphragm leaks
   */
  step(depressionPa: number, torn: boolean, dtS: number): void {
    const lifting = depressionPa * (torn ? TORN_SHARE : 1);
    const rate = lifting / SPRING_PA - 1;
    const fullTravelS = torn ? TORN_TRAVEL_S : TRAVEL_S;
    const speed = Math.max(-1, Math.min(MAX_RATE, rate)) / fullTravelS;
    this.lift = Math.max(0, Math.min(1, this.lift + speed * dtS));
  }
}

const RESTING_OPENING = 0.045;
/** The spring and the slide's weight balance this depression (common practice, no source). */
const SPRING_PA = 2_500;
const TRAVEL_S = 0.06;
const TORN_TRAVEL_S = 0.8;
const TORN_SHARE = 0.15;
const MAX_RATE = 3;
