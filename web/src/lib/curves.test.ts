import { describe, expect, it } from 'vitest';
import { columns, type Curve } from './curves';

const curve: Curve = {
  id: 'oxygen', unit: 'kg', capacity: 1, reserve: 0.1,
  course: { pet_s: [0, 100, 100, 200], left: [1, 0.8, 0.7, 0.5], low: [1, 0.7, 0.68, 0.4], high: [1, 0.9, 0.72, 0.6] },
  planned: { pet_s: [0, 150], left: [1, 0.85] },
  readings: [{ position: 3, pet_s: 100, left: 0.7, used: true, words: 'invented' }, { position: 4, pet_s: 120, left: 2, used: false, words: 'invented' }],
};

describe('the columns of a suit’s curve', () => {
  const [x, low, high, planned, done, ahead, read, unread] = columns(curve, 150);
  it('are in time order and of one length', () => {
    expect([...x!].sort((a, b) => a - b)).toEqual(x);
    for (const column of [done, ahead, low, high, planned, read, unread]) expect(column).toHaveLength(x!.length);
  });
  it('split at now: believed before, forecast after, meeting in one point', () => {
    const i = x!.indexOf(150);
    expect(done![i]).toBeCloseTo(0.6);
    expect(ahead![i]).toBeCloseTo(0.6);
    expect(done!.at(-1)).toBeNull();
    expect(ahead![0]).toBeNull();
  });
  it('keep readings apart by whether they count', () => {
    expect(read!.filter((one) => one !== null)).toEqual([0.7]);
    expect(unread!.filter((one) => one !== null)).toEqual([2]);
  });
  it('end the plan where the plan ended', () => {
    expect(planned![x!.indexOf(200)]).toBeNull();
    expect(planned![x!.indexOf(150)]).toBeCloseTo(0.85);
  });
});
