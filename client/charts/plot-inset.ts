/** Space on either side of the scale that rail and chart share [px]. The chart writes its times into the left one. */
export function plotInset(width: number): number {
  return width < 560 ? 34 : 52;
}
