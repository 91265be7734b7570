import { describe, expect, test } from 'vitest';
import { type Shelf, UnsavedDrafts } from '../../../../client/views/jobs/unsaved-drafts.ts';

const DAY_MS = 24 * 3600 * 1000;
const BASE = { revision: 3, fields: { notes: 'as stored', state: 'ready' } };
const TYPED = { base: BASE, draft: { notes: 'as typed', state: 'ready' } };

class MemoryShelf implements Shelf {
  readonly #items = new Map<string, string>();

  get length(): number {
    return this.#items.size;
  }
  key(index: number): string | null {
    return [...this.#items.keys()][index] ?? null;
  }
  getItem(name: string): string | null {
    return this.#items.get(name) ?? null;
  }
  setItem(name: string, text: string): void {
    this.#items.set(name, text);
  }
  removeItem(name: string): void {
    this.#items.delete(name);
  }
}

function opened() {
  const shelf = new MemoryShelf();
  const clock = { nowMs: 1_717_150_000_000 };
  const drafts = new UnsavedDrafts(
    () => shelf,
    () => clock.nowMs,
  );
  return { shelf, clock, drafts };
}

describe('what was typed and is not saved', () => {
  test('is kept with what it started from, by entry, until it is dropped', () => {
    const { drafts } = opened();
    drafts.keep('visit a', TYPED);
    expect(drafts.of('visit a', BASE.fields)).toEqual(TYPED);
    expect(drafts.of('visit b', BASE.fields)).toBeNull();
    drafts.drop('visit a');
    expect(drafts.of('visit a', BASE.fields)).toBeNull();
  });

  test('is not taken where the entry has other fields now, or what was kept cannot be read', () => {
    const { shelf, drafts } = opened();
    drafts.keep('visit a', TYPED);
    expect(drafts.of('visit a', { notes: '' })).toBeNull();
    expect(drafts.of('visit a', { ...BASE.fields, more: 1 })).toBeNull();
    for (const text of [
      '{',
      'null',
      '7',
      '{"base":null}',
      '{"base":{"revision":1,"fields":{}},"draft":{}}',
    ]) {
      shelf.setItem('idlewright.unsaved.visit a', text);
      expect(drafts.of('visit a', BASE.fields), text).toBeNull();
    }
  });

  test('is forgotten after two months, and nothing else that the browser keeps', () => {
    const { shelf, clock, drafts } = opened();
    drafts.keep('visit a', TYPED);
    shelf.setItem('idlewright.unsaved.broken', '{');
    shelf.setItem('idlewright.theme', 'dark');
    clock.nowMs += 59 * DAY_MS;
    drafts.forgetOld();
    expect(drafts.of('visit a', BASE.fields)).toEqual(TYPED);
    expect(shelf.getItem('idlewright.unsaved.broken')).toBeNull();
    clock.nowMs += 2 * DAY_MS;
    drafts.forgetOld();
    expect(drafts.of('visit a', BASE.fields)).toBeNull();
    expect(shelf.getItem('idlewright.theme')).toBe('dark');
  });

  test('costs nothing where the browser keeps nothing', () => {
    const drafts = new UnsavedDrafts(
      () => {
        throw new Error('forbidden');
      },
      () => 0,
    );
    drafts.keep('visit a', TYPED);
    expect(drafts.of('visit a', BASE.fields)).toBeNull();
    drafts.drop('visit a');
    drafts.forgetOld();
  });
});
