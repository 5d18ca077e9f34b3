import { describe, expect, it } from 'vitest';
import { example } from './example';
import { conditionNow, inNames, progress, standing, turnBack, urgency } from './standing';
import { pet, seconds } from './units';

describe('ahead and behind', () => {
  it('calls less than a minute on time', () => {
    expect(standing(seconds(59))).toBe('on time');
    expect(standing(seconds(-59))).toBe('on time');
    expect(standing(seconds(60))).toBe('behind');
    expect(standing(seconds(-60))).toBe('ahead');
  });
});

describe('why', () => {
  it('names the step instead of its label', () => {
    const [task] = example.tasks.filter((one) => one.steps.length);
    const [step] = task!.steps;
    expect(inNames(`17 min lost before ${step!.label}`, example.tasks)).toBe(`17 min lost before “${step!.name}”`);
    expect(inNames('hold of 12 min', example.tasks)).toBe('hold of 12 min');
    expect(inNames(`17 min lost before ${step!.label}x`, example.tasks)).toBe(`17 min lost before ${step!.label}x`);
  });
});
describe('turning back', () => {
  it('is bound by the crew member who must start home first', () => {
    expect(turnBack(example)).toEqual({ crew: 'EV2', at: 16300 });
  });
  it('is unknown when neither suit limits', () => {
    const unlimited = example.crew.map((c) => ({ ...c, suit: { ...c.suit, turn_back_terminate_pet_s: null } }));
    expect(turnBack({ crew: unlimited })).toBeNull();
  });
  it('is the pair’s where the server gives it, because they come home together', () => {
    expect(turnBack({ ...example, turn_back: { terminate_pet_s: 15000, abort_pet_s: 17000 } })).toEqual({ crew: 'EV2', at: 15000 });
  });
});

describe('a running step', () => {
  it('is measured against its expected end', () => {
    expect(progress(pet(100), pet(200), pet(150))).toEqual({ share: 0.5, over: 0 });
    expect(progress(pet(100), pet(200), pet(260))).toEqual({ share: 1, over: 60 });
    expect(progress(pet(100), pet(100), pet(50))).toEqual({ share: 0, over: 0 });
  });
});

describe('light and coverage', () => {
  const light = { known: true, now: true, next_pet_s: 5200, words: '' };
  it('count down to the next change', () => {
    expect(conditionNow(light, pet(5100))).toEqual({ holds: true, left: 100, at: '01:26' });
  });
  it('turn by the clock even before the server has said so', () => {
    expect(conditionNow(light, pet(5200)).holds).toBe(false);
  });
  it('are unknown where no window is', () => {
    expect(conditionNow({ known: false, now: null, next_pet_s: null, words: '' }, pet(0)).holds).toBeNull();
    expect(conditionNow({ ...light, next_pet_s: null }, pet(0))).toEqual({ holds: true, left: null, at: null });
  });
});

describe('a margin', () => {
  it('is urgent once it is gone', () => {
    expect(urgency(seconds(3600))).toBe('plenty');
    expect(urgency(seconds(1799))).toBe('soon');
    expect(urgency(seconds(0))).toBe('now');
  });
});
