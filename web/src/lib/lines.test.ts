import { describe, expect, it } from 'vitest';
import { example } from './example';
import { completions, finishedNow, nextPhase, startedNext } from './lines';

const [ev1, ev2] = example.crew as [(typeof example.crew)[0], (typeof example.crew)[0]];

describe('one-key entries', () => {
  it('finish the step the crew member is at', () => {
    expect(finishedNow(ev1)).toEqual({ line: 'finished valve.2' });
    expect(finishedNow(ev2)).toEqual({ line: 'finished camera.1' });
  });
  it('start the next step once the last is finished', () => {
    expect(startedNext(example, { ...ev1, now: null })).toEqual({ line: 'EV1 started valve.3' });
  });
  it('confirm the start of a step that was only assumed', () => {
    expect(startedNext(example, { ...ev1, now: { ...ev1.now!, assumed: true } })).toEqual({ line: 'EV1 started valve.2' });
  });
  it('say why there is nothing to write', () => {
    expect(startedNext(example, ev1)).toHaveProperty('none');
    expect(finishedNow({ ...ev1, now: null })).toHaveProperty('none');
    expect(startedNext({ ...example, forecast: { ...example.forecast, activities: [] } }, { ...ev1, now: null })).toHaveProperty('none');
  });
});

describe('the day', () => {
  it('moves on phase by phase and then no further', () => {
    expect(nextPhase({ ...example, phase: 'planned', pet_running: false })?.line).toBe('pet zero');
    expect(nextPhase({ ...example, phase: 'prebreathe', pet_running: false })?.line).toBe('depress');
    expect(nextPhase({ ...example, phase: 'egress' })?.line).toBe('egress done');
    expect(nextPhase({ ...example, phase: 'work' })?.line).toBe('clean-up');
    expect(nextPhase({ ...example, phase: 'closed' })).toBeNull();
  });
});

describe('completion', () => {
  it('offers verbs, then the steps that fit the verb', () => {
    expect(completions(example, 'st')).toContain('started');
    expect(completions(example, 'finished ')).toEqual(['finished valve.2', 'finished camera.1']);
    expect(completions(example, 'started v')).toEqual(['started valve.3']);
    expect(completions(example, 'note the ')).toEqual([]);
    expect(completions(example, '')).toEqual([]);
  });
});
