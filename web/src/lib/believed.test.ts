import { describe, expect, it } from 'vitest';
import { believed } from './believed';
import { example } from './example';
import { crewMember, finishedNow, nextPhase, startedNext } from './lines';

const key = (lines: readonly string[], which: typeof finishedNow | 'started') => {
  const status = believed(example, lines);
  const ev1 = crewMember(status, 'EV1')!;
  return which === 'started' ? startedNext(status, ev1) : which(ev1);
};

describe('what the next key builds on', () => {
  it('is the status itself when nothing is on its way', () => {
    expect(believed(example, [])).toBe(example);
    expect(believed(example, ['note finished is only a word here'])).toBe(example);
  });
  it('finishes a step whose start is still on its way', () => {
    expect(key(['finished valve.2'], 'started')).toEqual({ line: 'EV1 started valve.3' });
    expect(key(['finished valve.2', 'EV1 started valve.3'], finishedNow)).toEqual({ line: 'finished valve.3' });
  });
  it('never finishes the same step twice', () => {
    expect(key(['finished valve.2'], finishedNow)).toHaveProperty('none');
  });
  it('starts the one after a step that is skipped', () => {
    const after = key(['finished valve.2', 'skip valve.3'], 'started');
    expect(after).not.toEqual({ line: 'EV1 started valve.3' });
  });
  it('knows whether work is held', () => {
    expect(believed(example, ['hold private']).hold).not.toBeNull();
    expect(believed(example, ['hold', 'resume']).hold).toBeNull();
  });
  it('moves the day on by a phase each time', () => {
    const morning = { ...example, phase: 'planned' as const, pet_running: false };
    expect(nextPhase(believed(morning, ['pet zero']))?.line).toBe('egress done');
    expect(nextPhase(believed(morning, ['pet zero', 'egress done']))?.line).toBe('clean-up');
  });
});
