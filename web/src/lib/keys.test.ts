import { describe, expect, it } from 'vitest';
import { actionOf, keys } from './keys';

const press = { key: 'a', ctrlKey: false, metaKey: false, altKey: false, repeat: false, typing: false };

describe('keys', () => {
  it('are each used once', () => {
    expect(new Set(keys.map((k) => k.key)).size).toBe(keys.length);
  });
  it('write with one press, in either case', () => {
    expect(actionOf(press, true)).toBe('ev1 started');
    expect(actionOf({ ...press, key: 'A' }, true)).toBe('ev1 started');
  });
  it('do nothing while somebody types, with a modifier, or held down', () => {
    for (const not of [{ typing: true }, { ctrlKey: true }, { metaKey: true }, { altKey: true }, { repeat: true }])
      expect(actionOf({ ...press, ...not }, true)).toBeNull();
  });
  it('write nothing when one-key entries are off, but still show things', () => {
    expect(actionOf(press, false)).toBeNull();
    expect(actionOf({ ...press, key: 'o' }, false)).toBe('options');
    expect(actionOf({ ...press, key: '/' }, false)).toBe('line');
  });
});
