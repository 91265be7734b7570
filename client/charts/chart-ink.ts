/** Numbers on a canvas, as large as those of the rail. */
export const CHART_FONT = '500 15px "Barlow Semi Condensed", system-ui, sans-serif';
/** Under a pale line on white: the ink of the light theme. */
export const EDGE_COLOUR = '#0b0e11';

/** The page's own colours, for what is drawn on a canvas. */
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
