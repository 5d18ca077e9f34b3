import { describe, expect, it } from 'vitest';
import { checklist, remaining, type StandDown } from './stand-down';

const step = (who: string, what: string, done = false) => ({ who, what, done, at_pet_s: null });
const down: StandDown = {
  kind: 'terminate', since_pet_s: 5000, reason: null, open: [], outside: [],
  steps: [step('both', 'already done', true), step('EV1', 'close the panel'), step('EV2', 'translate to Airlock'), step('EV1', 'translate to Airlock'), step('both', 'ingress, hatch closed')],
};

describe('the checklist of a stand-down', () => {
  it('marks the next thing of each of the two, and nothing they do together before both are free', () => {
    expect(checklist(down).filter((row) => row.next).map((row) => `${row.who} ${row.what}`)).toEqual(['EV1 close the panel', 'EV2 translate to Airlock']);
  });
  it('marks what both do once it is their turn', () => {
    const rest = { ...down, steps: down.steps!.map((one) => ({ ...one, done: one.who !== 'both' || one.done })) };
    expect(checklist(rest).filter((row) => row.next).map((row) => row.what)).toEqual(['ingress, hatch closed']);
    expect(remaining(rest)).toBe(1);
  });
  it('is empty where the server gives none', () => {
    expect(checklist({})).toEqual([]);
  });
});
