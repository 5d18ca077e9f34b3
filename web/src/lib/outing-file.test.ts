import { describe, expect, it } from 'vitest';
import { childrenOf, edit, entryAddress, entryPrefixes, freshId, idOf, isAbout, labelOf, listAt, meant, newEntry, restOf, rowsOf, shown, singlePrefixes, tableAt, toml, within, withEdit } from './outing-file';
import { fieldsOf } from './outing-forms';
import type { OutingFile } from './types';

const file: OutingFile = {
  file: 'outing.toml', digest: 'x', of_today: true,
  texts: [
    { name: 'outing.toml', tables: { include: ['station.toml'], rules: { limit: '6 h' }, item: [{ id: 'b' }], task: [{ id: 'valve', name: 'Swap', step: [{ id: 'open', duration: '7 min' }] }] } },
    { name: 'station.toml', tables: { rules: { limit: '7 h', rest: '5 min' }, item: [{ name: 'A' }], station: { worksite: [{ id: 'bay', name: 'Bay' }] } } },
  ],
};
const field = (key: string, def = 'step') => [...fieldsOf(def).first, ...fieldsOf(def).more].find((one) => one.key === key)!;

describe('the outing file as forms', () => {
  it('finds tables over all files, and counts lists as the reader does: included files first', () => {
    expect(listAt(file, 'task').map(idOf)).toEqual(['valve']);
    expect(listAt(file, 'station.worksite').map(idOf)).toEqual(['bay']);
    expect(childrenOf(listAt(file, 'task')[0]!, 'step').map(idOf)).toEqual(['open']);
    expect(listAt(file, 'item').map((one, i) => entryAddress('item', one, i))).toEqual(['item[1]', 'item[b]']);
    expect(tableAt(file, 'rules')).toEqual({ limit: '6 h', rest: '5 min' });
    expect(tableAt(file, 'crew.EV1')).toEqual({});
  });
  it('calls entries what people call them', () => {
    expect(labelOf({ between: ['bay', 'mast'] }, 0)).toBe('bay – mast');
    expect(labelOf({ condition: 'docking', from: '01:00' }, 0)).toBe('docking 01:00');
    expect(labelOf({}, 2)).toBe('3');
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
  it('keeps sentences whole, numbers bare and rows as tables', () => {
    expect(meant(field('doffing', 'outing'), 'Gloves off, hands looked at\nHelmet off\n')).toEqual(['Gloves off, hands looked at', 'Helmet off']);
    expect(meant(field('normal', 'worksite'), '0, 0, -1')).toEqual([0, 0, -1]);
    expect(meant(field('position', 'worksite'), '0 m, 2 m, -1 m')).toEqual(['0 m', '2 m', '-1 m']);
    const hazards = [{ what: 'sharp edge', control: 'hold the strap' }];
    expect(meant(field('hazards'), shown(field('hazards'), hazards))).toEqual(hazards);
    expect(meant(field('hazards'), '[]')).toBeNull();
    expect(rowsOf('not JSON')).toEqual([]);
    expect(shown(field('within'), { time: '10 min', of: 'valve.2' })).toBe('10 min of valve.2');
  });
  it('keeps one edit for a key, the newest', () => {
    const first = edit('task[valve]', field('name'), 'One');
    const second = edit('task[valve]', field('name'), 'Two');
    expect(withEdit(withEdit([], first), second)).toEqual([second]);
    expect(edit('task[valve]', field('say'), '')).toEqual({ do: 'remove_key', table: 'task[valve]', key: 'say' });
  });
  it('puts a new entry behind the one named', () => {
    expect(newEntry('task[valve].step', { id: 'close', name: 'Close' }, 'duration = "5 min"\n', 'open')).toEqual({
      do: 'insert', table: 'task[valve].step', after: 'open', text: 'id = "close"\nname = "Close"\nduration = "5 min"\n',
    });
  });
  it('brings an error back to its table and field', () => {
    const about = (text: string) => ({ file: 'outing.toml', line: 3, column: 1, field: text, expected: 'a time', found: '7', remedy: 'add the unit' });
    const step = within(entryPrefixes('task', { id: 'valve', name: 'Swap' }, 0), entryPrefixes('step', { id: 'open' }, 0));
    expect(restOf(about('task "Swap", step 1, duration'), step)).toBe('duration');
    expect(restOf(about('task "Swap", step 11, duration'), step)).toBeNull();
    expect(restOf(about('task "Swap", step 1, hazard 1, control'), step)).toBe('hazard 1, control');
    expect(isAbout('hazard 1, control', 'hazards')).toBe(true);
    expect(isAbout('duration', 'hazards')).toBe(false);
    expect(restOf(about('crew, EV1, speed'), singlePrefixes('crew.EV1'))).toBe('speed');
    expect(restOf(about('route 3, length'), entryPrefixes('route', {}, 2))).toBe('length');
    expect(restOf(about('window "docking"'), entryPrefixes('window', { condition: 'docking' }, 0))).toBe('');
  });
  it('makes ids that nobody has', () => {
    expect(freshId('Swap the valve!', ['swap-the-valve'])).toBe('swap-the-valve-2');
    expect(freshId('???', [])).toBe('new');
  });
});
