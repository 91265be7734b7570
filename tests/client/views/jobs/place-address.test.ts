import { describe, expect, it } from 'vitest';
import { addressOf, placeOf } from '../../../../client/views/jobs/place-address.ts';

describe('the address of a page of the record', () => {
  it('leads back to the page', () => {
    for (const place of [
      { at: 'list' },
      { at: 'shop' },
      { at: 'new', machineId: null },
      { at: 'new', machineId: 'm-1' },
      { at: 'job', id: 'v-1' },
      { at: 'machine', id: 'm-1' },
    ] as const)
      expect(placeOf(addressOf(place))).toEqual(place);
  });

  it('that nobody made leads to the list', () => {
    for (const hash of ['', '#jobs', '#jobs/', '#jobs/job', '#jobs/job/', '#jobs/nowhere/x'])
      expect(placeOf(hash)).toEqual({ at: 'list' });
  });
});
