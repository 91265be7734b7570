import { describe, expect, it } from 'vitest';
import { idleWords } from '../../../client/views/bench/idle-words.ts';

describe('the words beside the idle speed', () => {
  it('say where it is, and ask for a cold engine where it is off', () => {
    expect(idleWords(null, 1100, 50)).toBe('No reading');
    expect(idleWords(1150, 1100, 50)).toBe('Inside');
    expect(idleWords(1151, 1100, 50)).toBe('Too fast: is it warm, choke off?');
    expect(idleWords(1049, 1100, 50)).toBe('Too slow: is it warm?');
  });
});
