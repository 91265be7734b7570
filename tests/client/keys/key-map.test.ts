import { describe, expect, test } from 'vitest';
import { KEY_MAP, keyAction } from '../../../client/keys/key-map.ts';

const press = (key: string, more = {}) =>
  keyAction({ key, ctrlKey: false, altKey: false, metaKey: false, typing: false, repeat: false, ...more });

describe('keys', () => {
  test('no key does two things and nothing has two keys', () => {
    expect(new Set(KEY_MAP.map(({ key }) => key)).size).toBe(KEY_MAP.length);
    expect(new Set(KEY_MAP.map(({ action }) => action)).size).toBe(KEY_MAP.length);
  });

  test('capital letters count as small ones', () => {
    expect(press('V')).toBe('far-view');
    expect(press('?')).toBe('help');
  });

  test('the browser’s own shortcuts, typing and a held key are left alone', () => {
    expect(press('f', { ctrlKey: true })).toBeNull();
    expect(press('f', { metaKey: true })).toBeNull();
    expect(press('f', { typing: true })).toBeNull();
    expect(press('f', { repeat: true })).toBeNull();
    expect(press('Tab')).toBeNull();
    expect(press('Enter')).toBeNull();
  });
});
