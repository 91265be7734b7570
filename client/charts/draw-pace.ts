import { railUpdate } from '../link/shown.ts';

const WAIT_FOR_RAIL_MS = 60;

/**
 * Draws now and then, each layer in a frame of its own, and asks for a frame only when there is something to draw: a page that
 * asks for every one keeps a tablet warm. Rail and chart in one frame are too much for a slow tablet, so a layer waits for one
 * in which the rail stands still.
 * @param everyMs time from the last layer to the first of the next round
 * @returns what ends it
 */
export function drawNowAndThen(layers: readonly (() => void)[], everyMs: () => number): () => void {
  let frame = 0;
  let layer = 0;
  let railSeen = railUpdate.peek();
  let waitedSince = 0;
  let timer = setTimeout(begin, 0);

  function begin(): void {
    waitedSince = performance.now();
    railSeen = railUpdate.peek();
    frame = requestAnimationFrame(look);
  }

  function look(now: number): void {
    const railMoved = railUpdate.peek() !== railSeen;
    railSeen = railUpdate.peek();
    if (railMoved && now - waitedSince < WAIT_FOR_RAIL_MS) {
      frame = requestAnimationFrame(look);
      return;
    }
    layers[layer]!();
    layer = (layer + 1) % layers.length;
    if (layer > 0) begin();
    else timer = setTimeout(begin, everyMs());
  }

  return () => {
    clearTimeout(timer);
    cancelAnimationFrame(frame);
  };
}
