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
