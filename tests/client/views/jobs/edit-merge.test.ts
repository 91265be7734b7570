import { describe, expect, it } from 'vitest';
import { mergeEdit, sameValue, takeTheirs } from '../../../../client/views/jobs/edit-merge.ts';

const BASE = {
  complaint: 'stumbles',
  technician: 'A',
  odometer: { value: '41250', unit: 'km' },
  service: { idleSpeed: { value: '1100', source: '' }, plug: null as string | null },
  checklist: ['boots', 'hoses'],
};

describe('two people change one entry', () => {
  it('keeps both changes where they touch different fields', () => {
    const { merged, clashes } = mergeEdit(
      BASE,
      { ...BASE, complaint: 'stumbles off choke' },
      { ...BASE, technician: 'B' },
    );
    expect(clashes).toEqual([]);
    expect(merged).toEqual({ ...BASE, complaint: 'stumbles off choke', technician: 'B' });
  });

  it('looks into figures that are made of parts', () => {
    const { merged, clashes } = mergeEdit(
      BASE,
      { ...BASE, service: { ...BASE.service, plug: 'long reach' } },
      { ...BASE, service: { ...BASE.service, idleSpeed: { value: '1050', source: 'p. 12' } } },
    );
    expect(clashes).toEqual([]);
    expect(merged.service).toEqual({ idleSpeed: { value: '1050', source: 'p. 12' }, plug: 'long reach' });
  });

  it('asks where both changed the same, keeps mine until told, and can take theirs', () => {
    const mine = { ...BASE, complaint: 'mine', technician: 'B' };
    const { merged, clashes } = mergeEdit(BASE, mine, { ...BASE, complaint: 'theirs' });
    expect(clashes).toEqual([{ path: ['complaint'], mine: 'mine', theirs: 'theirs' }]);
    expect(merged).toEqual(mine);
    expect(takeTheirs(merged, clashes)).toEqual({ ...BASE, complaint: 'theirs', technician: 'B' });
  });

  it('takes one and the same change of both for no clash', () => {
    const same = { ...BASE, complaint: 'same' };
    expect(mergeEdit(BASE, same, { ...same })).toEqual({ merged: same, clashes: [] });
  });

  it('treats a list as one value', () => {
    const { clashes } = mergeEdit(
      BASE,
      { ...BASE, checklist: ['boots'] },
      { ...BASE, checklist: ['boots', 'hoses', 'plugs'] },
    );
    expect(clashes.map(({ path }) => path)).toEqual([['checklist']]);
  });

  it('tells an emptied figure from an untouched one', () => {
    const { clashes, merged } = mergeEdit(
      { odometer: BASE.odometer as typeof BASE.odometer | null },
      { odometer: null },
      { odometer: { value: '41260', unit: 'km' } },
    );
    expect(clashes).toEqual([{ path: ['odometer'], mine: null, theirs: { value: '41260', unit: 'km' } }]);
    expect(merged).toEqual({ odometer: null });
  });

  it('compares values by what is in them', () => {
    expect(sameValue({ a: [1, { b: null }] }, { a: [1, { b: null }] })).toBe(true);
    expect(sameValue({ a: 1 }, { a: 1, b: undefined })).toBe(true);
    expect(sameValue([1, 2], [2, 1])).toBe(false);
    expect(sameValue(null, {})).toBe(false);
    expect(sameValue([], {})).toBe(false);
  });
});
