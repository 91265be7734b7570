/** The rail's scale on the screen: half of it on either side of the reference, with room at the ends. */
export interface RailPlace {
  /** [kPa] */
  readonly half: number;
  /** [px] */
  readonly width: number;
  readonly inset: number;
}

/** Where a difference stands [px]. */
export function railX(kpa: number, { half, width, inset }: RailPlace): number {
  return inset + ((kpa + half) / (2 * half)) * (width - 2 * inset);
}

/** The same, at the end of the scale for what lies beyond it. */
export function railXInside(kpa: number, place: RailPlace): number {
  return railX(Math.max(-place.half, Math.min(place.half, kpa)), place);
}
