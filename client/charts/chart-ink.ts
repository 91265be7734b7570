import type uPlot from 'uplot';

/** Numbers on a canvas, as large as those of the rail. */
const CHART_FONT = '500 15px "Barlow Semi Condensed", system-ui, sans-serif';
/** Under a pale line on white: the ink of the light theme. */
export const EDGE_COLOUR = '#0b0e11';

/** The page's own colours, for what is drawn on a canvas. Asked of the browser: once for a chart, not for each drawing. */
export function chartInk() {
  const style = getComputedStyle(document.documentElement);
  const read = (name: string) => style.getPropertyValue(name).trim();
  return {
    text: read('--ink-2'),
    ink: read('--ink'),
    grid: read('--grid'),
    band: read('--band'),
    bandEdge: read('--band-edge'),
  };
}

export type ChartInk = ReturnType<typeof chartInk>;

/** What all axes of all charts have in common: numbers in the page's ink, thin lines, no ticks outside. */
export function plainAxis(): uPlot.Axis {
  const { text, grid } = chartInk();
  return { stroke: text, font: CHART_FONT, grid: { stroke: grid, width: 1 }, ticks: { show: false } };
}

/** Narrower or lower than this there is no room for a chart [px]. */
const LEAST_CHART_PX = 60;

export function hasRoom(width: number, height: number): boolean {
  return width >= LEAST_CHART_PX && height >= LEAST_CHART_PX;
}
