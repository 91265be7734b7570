import type { CaptureHeader, SampleChunk } from '../jobs/capture-store.ts';

/**
 * A capture as RFC 4180 text: time in seconds since its first sample, then the raw count of each channel,
 * empty where one is missing. One piece of text per chunk, so that a long capture streams.
 */
export async function* captureCsv(
  header: Pick<CaptureHeader, 'clockRateHz' | 'sensorTypes'>,
  chunks: Iterable<SampleChunk> | AsyncIterable<SampleChunk>,
): AsyncGenerator<string> {
  const columns = header.sensorTypes.map((_, channel) => `counts_${channel + 1}`);
  yield `time_s,${columns.join(',')}\r\n`;
  let firstTicks: number | null = null;
  for await (const chunk of chunks) {
    let text = '';
    for (let row = 0; row < chunk.timeTicks.length; row++) {
      const ticks = chunk.timeTicks[row]!;
      firstTicks ??= ticks;
      const timeS = ((ticks - firstTicks) / header.clockRateHz).toFixed(6);
      const counts = chunk.counts.map((column) => (column[row]! < 0 ? '' : String(column[row])));
      text += `${timeS},${counts.join(',')}\r\n`;
    }
    yield text;
  }
}
