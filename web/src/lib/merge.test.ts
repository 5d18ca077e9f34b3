import { describe, expect, it } from 'vitest';
import { applyChange, mergeRecord } from './merge';
import { example } from './example';

const entry = (position: number, struck = false) => ({ ...example.record[0]!, position, struck });

describe('a change', () => {
  it('sets the keys it names and keeps the others', () => {
    const after = applyChange(example, { set: { behind_s: 600, cause: 'a stuck bolt' }, entries: [] });
    expect(after.behind_s).toBe(600);
    expect(after.cause).toBe('a stuck bolt');
    expect(after.crew).toBe(example.crew);
    expect(after.record).toEqual(example.record);
  });
  it('adds new entries and replaces altered ones in their place', () => {
    const record = mergeRecord([entry(1), entry(2)], [entry(3), entry(1, true)]);
    expect(record.map((e) => [e.position, e.struck])).toEqual([
      [1, true],
      [2, false],
      [3, false],
    ]);
  });
  it('may bring the whole record', () => {
    expect(applyChange(example, { set: { record: [entry(9)] }, entries: [] }).record).toHaveLength(1);
  });
});
