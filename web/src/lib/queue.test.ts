import { describe, expect, it } from 'vitest';
import { add, drop, nextToSend, type Queue, restore, sendAnyway, sending, settle } from './queue';

const entry = (id: string, seen: number) => ({ id, line: `started ${id}`, author: 'lead', at: '2031-04-05T09:00:00Z', seen });
const two: Queue = add(add([], entry('a', 7)), entry('b', 7));

describe('the queue of entries', () => {
  it('sends one at a time, in order', () => {
    expect(nextToSend(two)?.id).toBe('a');
    expect(nextToSend(sending(two, 'a'))).toBeNull();
    expect(nextToSend(settle(sending(two, 'a'), 'a', { kind: 'written', position: 8 }))?.id).toBe('b');
  });
  it('counts an own entry as seen by those behind it', () => {
    expect(settle(two, 'a', { kind: 'written', position: 8 })[0]?.seen).toBe(8);
  });
  it('does not when somebody else wrote in between, so that the conflict is noticed', () => {
    expect(settle(two, 'a', { kind: 'written', position: 9 })[0]?.seen).toBe(7);
  });
  it('keeps an entry that could not be delivered, and its order', () => {
    const after = settle(sending(two, 'a'), 'a', { kind: 'unreachable' });
    expect(after.map((e) => [e.id, e.state])).toEqual([
      ['a', 'waiting'],
      ['b', 'waiting'],
    ]);
  });
  it('holds everything behind a conflict until a person has decided', () => {
    const stuck = settle(sending(two, 'a'), 'a', { kind: 'stale', position: 9, why: 'Somebody wrote.' });
    expect(nextToSend(stuck)).toBeNull();
    const again = sendAnyway(stuck, 'a', 9);
    expect(again.map((e) => e.seen)).toEqual([9, 9]);
    expect(nextToSend(again)?.id).toBe('a');
    expect(again[0]).not.toHaveProperty('why');
    expect(nextToSend(drop(stuck, 'a'))?.id).toBe('b');
  });
  it('shows why an entry was refused', () => {
    expect(settle(two, 'a', { kind: 'refused', why: 'No such step.' })[0]).toMatchObject({ state: 'refused', why: 'No such step.' });
  });
  it('survives a reload, and one that was under way is sent again', () => {
    expect(restore(JSON.stringify(sending(two, 'a')))[0]?.state).toBe('waiting');
  });
  it('takes nothing that is not a queue', () => {
    for (const text of [null, '', '{', '{}', '[1,null,{"id":1}]']) expect(restore(text)).toEqual([]);
  });
});
