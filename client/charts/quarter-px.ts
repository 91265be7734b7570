/** To a quarter of a pixel: less cannot be seen, and what has not moved need not be drawn again. */
export const quarterPx = (px: number): number => Math.round(4 * px) / 4;
