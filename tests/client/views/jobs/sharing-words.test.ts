import { expect, test } from 'vitest';
import { deliveryWords, sharingTrouble } from '../../../../client/views/jobs/sharing-words.ts';
import type { RecordSharing } from '../../../../server/contract/jobs-views.ts';

const NOW_MS = new Date(2024, 4, 31, 14, 30).getTime();
const fine: RecordSharing = {
  server: 'server/idlewright',
  reached: true,
  trouble: null,
  troubleSinceMs: null,
  capturesWaiting: 0,
  lastDeliveredAtMs: null,
};
const gone: RecordSharing = {
  ...fine,
  reached: false,
  trouble: 'records-unreachable',
  troubleSinceMs: new Date(2024, 4, 31, 14, 5).getTime(),
  capturesWaiting: 3,
};
const time = (atMs: number, more: object = {}) =>
  new Intl.DateTimeFormat(undefined, { timeStyle: 'short', ...more }).format(atMs);

test('a record that is reached, or that this bench keeps itself, is no trouble', () => {
  expect(sharingTrouble(fine, NOW_MS)).toBeNull();
  expect(sharingTrouble({ ...gone, server: null }, NOW_MS)).toBeNull();
  expect(sharingTrouble({ ...fine, reached: false, capturesWaiting: null }, NOW_MS)).toBeNull();
});

test('a network that is gone is said with since when, and how many captures wait', () => {
  const words = sharingTrouble(gone, NOW_MS);
  expect(words).toContain(`gone since ${time(gone.troubleSinceMs!)}.`);
  expect(words).toContain('3 captures wait on this bench and are delivered by themselves');
  expect(sharingTrouble({ ...gone, capturesWaiting: 1 }, NOW_MS)).toContain('1 capture waits');
  expect(sharingTrouble({ ...gone, capturesWaiting: 0 }, NOW_MS)).toContain('No capture waits');
  expect(sharingTrouble({ ...gone, capturesWaiting: null }, NOW_MS)).not.toMatch(/null|\d captures/);
});

test('what began on an earlier day is said with the day', () => {
  const troubleSinceMs = new Date(2024, 4, 29, 9, 0).getTime();
  expect(sharingTrouble({ ...gone, troubleSinceMs }, NOW_MS)).toContain(
    time(troubleSinceMs, { dateStyle: 'medium' }),
  );
});

test('a server that does not let the bench in, and one that is newer, are told apart from the network', () => {
  const refused = sharingTrouble({ ...gone, trouble: 'records-refused' }, NOW_MS)!;
  const newer = sharingTrouble({ ...gone, trouble: 'records-newer-version' }, NOW_MS)!;
  expect(refused).toContain('password');
  expect(newer).toContain('Update the program');
  for (const words of [refused, newer]) {
    expect(words).not.toContain('network');
    expect(words).toContain('3 captures wait');
  }
});

test('what is delivered is said with when, what is on the way with how many', () => {
  expect(deliveryWords({ ...fine, capturesWaiting: null }, NOW_MS)).toBe('the record is being looked for');
  expect(deliveryWords({ ...fine, capturesWaiting: 2 }, NOW_MS)).toBe('2 captures on the way');
  expect(deliveryWords(fine, NOW_MS)).toBe('all of this bench are there');
  const lastDeliveredAtMs = NOW_MS - 60_000;
  expect(deliveryWords({ ...fine, lastDeliveredAtMs }, NOW_MS)).toContain(
    `the last since ${time(lastDeliveredAtMs)}`,
  );
});
