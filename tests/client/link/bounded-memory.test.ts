import { describe, expect, test } from 'vitest';
import { HistoryColumns } from '../../../client/charts/history-columns.ts';
import type { Marker } from '../../../client/charts/marker.ts';
import { TAIL_EVERY_MS, TAIL_MS, type TailPoint, tailWith } from '../../../client/charts/rail-tail.ts';
import { TraceHistory } from '../../../client/charts/trace-history.ts';
import {
  applyMessage,
  type LiveState,
  MOST_CAPTURES,
  NOTHING_KNOWN,
} from '../../../client/link/live-state.ts';
import type { CaptureSummary } from '../../../server/contract/captures.ts';
import type { LiveMessage } from '../../../server/contract/live.ts';
import { MAX_LISTED_CAPTURES } from '../../../server/jobs/capture-records.ts';
import { practiceScene, pulsesOf, updateOf } from '../screen/fake-scene.ts';

const HOURS_S = 4 * 3_600;
const scene = practiceScene();

/** Everything that a value holds, in characters: what it may grow by. */
const size = (value: unknown) => JSON.stringify(value).length;

describe('a page that stays open for hours holds no more than one that was just opened', () => {
  test('of what the program is and does: only the newest counts', () => {
    const { setup, source, practice } = scene;
    const start: LiveMessage[] = [
      { type: 'hello', liveVersion: 1, serverStartId: 'one', softwareVersion: '1.2.3' },
      { type: 'snapshot', setup, source, practice, captures: [], update: null },
    ];
    const fed = (state: LiveState, fromS: number, toS: number): LiveState => {
      let known = state;
      for (let timeS = fromS; timeS < toS; timeS++) {
        known = applyMessage(
          known,
          updateOf(scene, timeS, 40, () => 0.5),
        );
        known = applyMessage(known, pulsesOf(scene, timeS));
        known = applyMessage(known, { type: 'event', event: 'source', source });
        known = applyMessage(known, { type: 'event', event: 'setup', setup });
      }
      return known;
    };
    const soon = fed(start.reduce(applyMessage, NOTHING_KNOWN), 1_000, 1_010);
    const late = fed(soon, 1_010, 1_000 + HOURS_S);
    expect(size(late)).toBeLessThan(size(soon) * 1.1);
  });

  test('of captures: as many as the program lists, the newest', () => {
    expect(MOST_CAPTURES).toBe(MAX_LISTED_CAPTURES);
    let known = NOTHING_KNOWN;
    for (let number = 0; number < 1_000; number++)
      known = applyMessage(known, { type: 'event', event: 'capture', capture: capture(number) });
    expect(known.captures).toHaveLength(MOST_CAPTURES);
    expect(known.captures[0]?.id).toBe('capture-999');
  });

  test('of the traces: three seconds, however fast the points come', () => {
    const history = new TraceHistory(2);
    for (let timeS = 0; timeS < HOURS_S; timeS += 0.2)
      history.take({ type: 'pulses', timeS: [timeS], absoluteKpa: [[50], [60]], folded: [] }, 101.3);
    const [times, ...cylinders] = history.columns;
    expect(times!.length).toBeLessThanOrEqual(900);
    for (const column of cylinders) expect(column).toHaveLength(times!.length);
    expect(history.newestS).toBeGreaterThan(HOURS_S - 1);
  });

  test('of the chart: as many rows as it was made for', () => {
    const columns = new HistoryColumns(4, 620);
    for (let timeS = 0; timeS < HOURS_S; timeS++) columns.push(timeS, [1, 2, 3, 4]);
    expect(columns.columns.map((column) => column.length)).toEqual([620, 620, 620, 620, 620]);
  });

  test('of the tails behind the markers: three seconds', () => {
    const markers = [0, 1, 2, 3].map((cyl) => ({ cyl, kpa: cyl }) as Marker);
    let tail: readonly TailPoint[] = [];
    let most = 0;
    for (let atMs = 0; atMs < HOURS_S * 100; atMs += 40) {
      tail = tailWith(tail, markers, atMs);
      most = Math.max(most, tail.length);
    }
    expect(most).toBeLessThanOrEqual(markers.length * (TAIL_MS / TAIL_EVERY_MS + 2));
  });
});

function capture(number: number): CaptureSummary {
  return {
    id: `capture-${number}`,
    label: 'before',
    state: 'complete',
    practice: false,
    sourceAddress: '/dev/ttyACM0',
    startedAtMs: number * 60_000,
    durationS: 10,
    samples: 5_000,
    cylinders: 2,
    spreadKpa: 2,
    spreadExpandedKpa: 0.2,
    gapsKpa: [1, -1],
    idleRpm: 1_100,
    roughnessScore: 20,
    softwareVersion: '1.2.3',
  };
}
