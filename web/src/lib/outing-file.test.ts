import { describe, expect, it } from 'vitest';
import { edit, freshId, idOf, isAbout, listOf, meant, newStep, shown, stepFields, stepsOf, toml, withEdit } from './outing-file';
import type { OutingFile } from './types';

const file: OutingFile = {
  file: 'outing.toml', digest: 'x', of_today: true,
  texts: [
    { name: 'outing.toml', tables: { task: [{ id: 'valve', name: 'Swap', step: [{ id: 'open', duration: '7 min' }] }] } },
    { name: 'station.toml', tables: { station: { worksite: [{ id: 'bay', name: 'Bay' }] } } },
  ],
};
const field = (key: string) => stepFields.find((one) => one.key === key)!;

describe('the outing file as forms', () => {
  it('finds tables over all files', () => {
    expect(listOf(file, 'task').map(idOf)).toEqual(['valve']);
    expect(listOf(file, 'worksite').map(idOf)).toEqual(['bay']);
    expect(stepsOf(listOf(file, 'task')[0]!).map(idOf)).toEqual(['open']);
  });
  it('writes values as TOML has them', () => {
    expect(toml('a "word"\n\u007f')).toBe('"a \\"word\\"\\n\\u007f"');
    expect(toml({ low: '8 min', likely: '10 min', high: '20 min' })).toBe('{ low = "8 min", likely = "10 min", high = "20 min" }');
    expect(toml(['lead', 'helper'])).toBe('["lead", "helper"]');
  });
  it('shows durations and lists as one line and reads them back', () => {
    const three = { low: '8 min', likely: '10 min', high: '20 min' };
    expect(meant(field('duration'), shown(field('duration'), three))).toEqual(three);
    expect(meant(field('duration'), '12 min')).toBe('12 min');
    expect(meant(field('who'), 'lead, helper')).toEqual(['lead', 'helper']);
    expect(meant(field('who'), 'ground')).toBe('ground');
    expect(meant(field('say'), '  ')).toBeNull();
  });
  it('keeps one edit for a key, the newest', () => {
    const first = edit('task[valve]', field('name'), 'One');
    const second = edit('task[valve]', field('name'), 'Two');
    expect(withEdit(withEdit([], first), second)).toEqual([second]);
    expect(edit('task[valve]', field('say'), '')).toEqual({ do: 'remove_key', table: 'task[valve]', key: 'say' });
  });
  it('puts a new step behind the one named', () => {
    expect(newStep('valve', 'close', 'Close', 'bay', 'open')).toMatchObject({ do: 'insert', table: 'task[valve].step', after: 'open' });
  });
  it('brings an error back to its field', () => {
    const error = { file: 'outing.toml', line: 3, column: 1, field: 'task "Swap", step 1, duration', expected: 'a time', found: '7', remedy: 'add the unit' };
    expect(isAbout(error, ['valve', 'Swap'], 'duration')).toBe(true);
    expect(isAbout(error, ['valve', 'Swap'], 'name')).toBe(false);
    expect(isAbout(error, ['camera'], 'duration')).toBe(false);
  });
  it('makes ids that nobody has', () => {
    expect(freshId('Swap the valve!', ['swap-the-valve'])).toBe('swap-the-valve-2');
    expect(freshId('???', [])).toBe('new');
  });
});
