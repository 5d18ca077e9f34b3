import { describe, expect, it } from 'vitest';
import { decision, decisions, oddsState, percent } from './decision';
import { example } from './example';

const odds = {
  position: example.position, required_done: 0.8, in_time_with_reserves: 0.97, standard_error: 0.01,
  finish_p10_pet_s: 1, finish_p50_pet_s: 2, finish_p90_pet_s: 3, tasks: [],
  gate: { task: 'valve', planned_pet_s: 3000, begin_until_pet_s: 4000, start_home_by_pet_s: 20000 },
};

describe('the next decision', () => {
  it('names the task in words and the moment', () => {
    const name = example.tasks.find((task) => task.id === 'valve')?.name;
    expect(decision({ ...example, odds })).toEqual({ task: name ?? 'valve', by: 4000, planned: 3000, homeBy: 20000 });
  });
  it('is none while there are no odds or nothing is left to decide', () => {
    const { odds: _, ...without } = { ...example, odds };
    expect(decision(without)).toBeNull();
    expect(decision({ ...example, odds: { ...odds, gate: null } })).toBeNull();
  });
});
describe('every decision still to come', () => {
  it('stands as the server sorts it: the earliest deadline first', () => {
    const later = { task: 'camera', planned_pet_s: 2000, begin_until_pet_s: 9000, start_home_by_pet_s: 20000 };
    expect(decisions({ ...example, odds: { ...odds, gates: [odds.gate, later] } }).map((one) => one.by)).toEqual([4000, 9000]);
    expect(decisions({ ...example, odds: { ...odds, gate: null } })).toEqual([]);
    expect(decisions({ tasks: example.tasks })).toEqual([]);
  });
});
describe('odds', () => {
  it('never call sure or impossible what is neither', () => {
    expect([0, 0.0004, 0.063, 0.985, 0.9996, 1].map(percent)).toEqual(['0 %', 'under 1 %', '6 %', '99 %', 'over 99 %', '100 %']);
  });
  it('say when they rest on an earlier entry, are on their way, or have nothing left to tell', () => {
    expect(oddsState({ ...example, odds })).toBe('current');
    expect(oddsState({ ...example, odds: { ...odds, position: example.position - 1 } })).toBe('old');
    expect(oddsState({ position: 1, plan: example.plan, phase: 'work', stand_down: null })).toBe('soon');
    expect(oddsState({ position: 1, plan: example.plan, phase: 'closed', stand_down: null })).toBe('none');
    expect(oddsState({ position: 1, plan: example.plan, phase: 'planned', stand_down: { kind: 'scrub', since_pet_s: -60, reason: null } })).toBe('none');
    expect(oddsState({ position: 1, plan: null, phase: 'work', stand_down: null })).toBe('none');
  });
});
