import { describe, expect, it } from 'vitest';
import { example } from './example';
import { changesOf, linesOf, supposition } from './what-if';

describe('a supposition', () => {
  it('is a line that begins with what if', () => {
    expect(supposition('what if arm lost')).toBe('arm lost');
    expect(supposition('What-if: EV2 unable?')).toBe('EV2 unable');
    expect(supposition('what if')).toBe('');
    expect(supposition('note what if')).toBeNull();
    expect(supposition('whatever')).toBeNull();
  });
  it('may be several lines', () => {
    expect(linesOf('hold; slip 30 min;')).toEqual(['hold', 'slip 30 min']);
  });
});

describe('what would change', () => {
  it('is nothing when nothing does', () => {
    expect(changesOf(example, example)).toEqual([]);
  });
  it('says what gets worse, hardest first', () => {
    const then = {
      ...example, forecast: { ...example.forecast, possible: false, reasons: ['No arm.'] }, tightest: { ...example.tightest!, margin_min: -5 },
      turn_back: { terminate_pet_s: 9000, abort_pet_s: null },
    };
    const words = changesOf({ ...example, turn_back: { terminate_pet_s: 12000, abort_pet_s: null } }, then);
    expect(words.map((one) => one.worse)).toEqual([true, true, true]);
    expect(words[0]?.words).toBe('The plan would no longer fit: No arm.');
    expect(words[2]?.words).toBe('turn back by 02:30 instead of 03:20');
  });
  it('says a later end', () => {
    const then = { ...example, finish: { ...example.finish, forecast_pet_s: (example.finish.forecast_pet_s ?? 0) + 600 } };
    expect(changesOf(example, then)).toMatchObject([{ worse: true }]);
  });
});
