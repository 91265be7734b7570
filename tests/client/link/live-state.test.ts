import { describe, expect, test } from 'vitest';
import { applyMessage, NOTHING_KNOWN, withCapture } from '../../../client/link/live-state.ts';
import { LIVE_VERSION as PAGE_VERSION, readMessage } from '../../../client/link/read-message.ts';
import type { CaptureSummary } from '../../../server/contract/captures.ts';
import { LIVE_VERSION, type LiveMessage } from '../../../server/contract/live.ts';
import { practiceScene, updateOf } from '../screen/fake-scene.ts';

const hello = (serverStartId: string): LiveMessage => ({
  type: 'hello',
  liveVersion: 1,
  serverStartId,
  softwareVersion: '1.2.3',
});
const { setup, source, practice } = practiceScene();
const snapshot: LiveMessage = { type: 'snapshot', setup, source, practice, captures: [], update: null };
const update = updateOf(practiceScene(), 5, 40, () => 0.5);
const capture = (id: string, startedAtMs: number, more: Partial<CaptureSummary> = {}): CaptureSummary => ({
  id,
  label: 'before',
  state: 'complete',
  practice: false,
  sourceAddress: '/dev/ttyACM0',
  startedAtMs,
  durationS: 10,
  samples: 5000,
  cylinders: 2,
  spreadKpa: 2,
  spreadExpandedKpa: 0.2,
  gapsKpa: [1, -1],
  idleRpm: 1100,
  roughnessScore: 20,
  softwareVersion: '1.2.3',
  ...more,
});

describe('what the screen knows', () => {
  test('a program that was started anew is another program: nothing of the old one stays', () => {
    const known = [hello('one'), snapshot, update].reduce(applyMessage, NOTHING_KNOWN);
    expect(known.update).not.toBeNull();
    const after = applyMessage(known, hello('two'));
    expect(after).toEqual({
      ...NOTHING_KNOWN,
      serverStartId: 'two',
      softwareVersion: '1.2.3',
      liveVersion: 1,
    });
  });

  test('the same program after a short loss keeps what was known until its snapshot comes', () => {
    const known = [hello('one'), snapshot].reduce(applyMessage, NOTHING_KNOWN);
    expect(applyMessage(known, hello('one')).setup).toBe(known.setup);
  });

  test('an event replaces its part and nothing else', () => {
    const known = [hello('one'), snapshot].reduce(applyMessage, NOTHING_KNOWN);
    const changed = applyMessage(known, { type: 'event', event: 'setup', setup: { ...setup, cylinders: 2 } });
    expect(changed.setup?.cylinders).toBe(2);
    expect(changed.source).toBe(known.source);
  });

  test('captures stand newest first and each once', () => {
    const list = [capture('a', 100), capture('b', 300)].reduce<readonly CaptureSummary[]>(withCapture, []);
    const again = withCapture(list, capture('a', 100, { durationS: 99 }));
    expect(again.map(({ id }) => id)).toEqual(['b', 'a']);
    expect(again[1]!.durationS).toBe(99);
  });
});

describe('messages as they come', () => {
  test('the page is built for the version of the contract', () => {
    expect(PAGE_VERSION).toBe(LIVE_VERSION);
  });

  test.each([['not json'], ['null'], ['[]'], ['{"type":"tea"}'], ['7'], [new ArrayBuffer(4)]])(
    '%s is no message and harms nothing',
    (data) => {
      expect(readMessage(data)).toBeNull();
    },
  );

  test('a message is handed on as it is', () => {
    expect(readMessage(JSON.stringify(update))).toEqual(update);
  });
});
