import { decodeLine } from '../../firmware-protocol/decode-line.ts';
import { encodeLine } from '../../firmware-protocol/encode-line.ts';

/**
 * Share of one core [%] that decoding takes at this rate. Run directly for the figure at 1000 lines/s with
 * 8 channels: `npx tsx tests/firmware-protocol/decode-cost.ts`. A measurement for the bench, not a test.
 */
export function decodeCostPercent(linesPerSecond: number, channels: number, seconds = 200): number {
  const lines = Array.from({ length: 4_096 }, (_, at) =>
    encodeLine({
      kind: 'sample',
      sequence: 61_000 + at,
      timeTicks: 4_200_000_000 + at * 2_000,
      counts: Array.from({ length: channels }, (_, channel) => (at * 31 + channel * 977) % 4_096),
    }),
  );
  let decoded = 0;
  const start = process.cpuUsage();
  for (let line = 0; line < linesPerSecond * seconds; line++) {
    if (decodeLine(lines[line & 4_095]!).ok) decoded++;
  }
  const used = process.cpuUsage(start);
  if (decoded !== linesPerSecond * seconds) throw new Error('A line of the measurement did not decode');
  return (100 * (used.user + used.system)) / 1e6 / seconds;
}

if (process.argv[1] === new URL(import.meta.url).pathname) {
  console.log(`decoding 1000 lines/s x 8 channels: ${decodeCostPercent(1_000, 8).toFixed(3)} % of one core`);
}
