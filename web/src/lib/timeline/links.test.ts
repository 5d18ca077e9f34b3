import { describe, expect, it } from 'vitest';
import type { Activity, Outing } from '../types';
import { handOvers, waits } from './links';

const act = (lanes: Activity['lanes'], start_s: number, duration_s: number, label: string | null = null): Activity => ({
  kind: 'step', lanes, start_s, duration_s, title: 'invented', label, task: null, place: null, path: [], status: 'to_do', assumed: false,
});
const steps = (...labels: string[]): Pick<Outing, 'steps'> => ({
  steps: labels.map((label) => ({ label, task: label.split('.')[0] ?? '', task_name: '', name: '', who: [], at: null, crew_words: '', hazards: [] })),
});

describe('waits', () => {
  it('are the gaps of two minutes and more on one lane', () => {
    const list = [act(['EV1'], 300, 100), act(['EV1', 'EV2'], 460, 60), act(['EV1'], 1000, 60)];
    expect(waits(list, 'EV1', 0)).toEqual([{ lane: 'EV1', from: 0, length: 300 }, { lane: 'EV1', from: 520, length: 480 }]);
    expect(waits(list, 'EV2', 400)).toEqual([]);
  });
});
describe('handing on', () => {
  it('joins two steps of a task that different people do', () => {
    const list = [act(['EV1'], 0, 100, 'a.1'), act(['EV2'], 150, 50, 'a.2')];
    expect(handOvers(list, steps('a.1', 'a.2'))).toEqual([{ from: 'EV1', to: 'EV2', start: 100, end: 150 }]);
  });
  it('joins nothing across tasks, within one lane, or where both take part', () => {
    const list = [act(['EV1'], 0, 10, 'a.1'), act(['EV1'], 20, 10, 'a.2'), act(['EV1', 'EV2'], 40, 10, 'a.3'), act(['EV2'], 60, 10, 'b.1')];
    expect(handOvers(list, steps('a.1', 'a.2', 'a.3', 'b.1'))).toEqual([]);
    expect(handOvers(list, null)).toEqual([]);
  });
});
