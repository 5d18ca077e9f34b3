import { describe, expect, it } from 'vitest';
import { type Morning, rows, warnings } from './morning';

const morning: Morning = {
  pet_zero_expected: '2031-04-05T08:45:00Z', pet_zero_earliest: '2031-04-05T08:45:00Z', depress_earliest: '2031-04-05T08:15:00Z', payback_s: 600, early_depress_s: 0,
  cause: 'prebreathe began 15 min late', trouble: '',
  steps: [
    { name: 'suit-up', planned: null, begins: '2031-04-05T06:00:00Z', begun: true },
    { name: 'prebreathe', planned: '2031-04-05T06:30:00Z', begins: '2031-04-05T06:45:00Z', begun: true },
    { name: 'depress', planned: '2031-04-05T08:00:00Z', begins: '2031-04-05T08:15:00Z', begun: false },
    { name: 'PET zero', planned: '2031-04-05T08:30:00Z', begins: '2031-04-05T08:45:00Z', begun: false },
  ],
};

describe('the morning', () => {
  it('tells what is done, what comes next, and how late each is', () => {
    expect(rows(morning).map((row) => [row.name, row.state, row.slip])).toEqual([
      ['suit-up', 'done', 0], ['prebreathe', 'done', 900], ['depress', 'next', 900], ['PET zero', 'later', 900],
    ]);
    expect(rows(morning)[2]?.line).toBe('depress');
  });
  it('goes on behind a step nobody logged', () => {
    const skipped = { ...morning, steps: morning.steps.map((step) => ({ ...step, begun: step.name === 'depress' })) };
    expect(rows(skipped).find((row) => row.state === 'next')?.name).toBe('PET zero');
  });
  it('warns of a depress that began before the prebreathe was over, and of a course that cannot be worked out', () => {
    expect(warnings(morning)).toEqual([]);
    expect(warnings({ ...morning, early_depress_s: 300, trouble: 'It is not known.' }).map((one) => one.words)).toEqual(['early', 'trouble']);
  });
});
