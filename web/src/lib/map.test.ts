import { describe, expect, it } from 'vitest';
import { plan } from './map';
import type { Outing } from './types';

const site = (id: string, x_m: number, y_m: number, z_m: number) => ({ id, name: id, x_m, y_m, z_m, anchor: false });
const outing = {
  worksites: [site('a', 0, 0, 0), site('b', 40, 1, 10), site('c', 20, 2, -10)],
  routes: [{ a: 'a', b: 'b', length_m: 41 }, { a: 'a', b: 'nowhere', length_m: 1 }],
} as unknown as Outing;

describe('the plan of the station', () => {
  it('looks along the flattest axis', () => {
    const drawn = plan(outing, 500, 300, 50);
    const [a, b, c] = drawn.spots;
    expect(b!.x - a!.x).toBeCloseTo(400);
    expect(b!.y - c!.y).toBeCloseTo(200);
  });
  it('fits everything inside the margin', () => {
    for (const spot of plan(outing, 500, 120, 20).spots) {
      expect(spot.y).toBeGreaterThanOrEqual(20 - 1e-9);
      expect(spot.y).toBeLessThanOrEqual(100 + 1e-9);
    }
  });
  it('puts no name over another', () => {
    const crowd = { ...outing, worksites: Array.from({ length: 12 }, (_, i) => site(`a rather long name ${i}`, i, (i * 7) % 5, 0)) };
    const boxes = plan(crowd, 900, 300).spots.flatMap((s) => {
      if (!s.label) return [];
      const w = s.name.length * 6.8;
      const x = s.x + s.label.x - (s.label.side === 'middle' ? w / 2 : s.label.side === 'end' ? w : 0);
      return [{ x, y: s.y + s.label.y, w }];
    });
    expect(boxes.length).toBeGreaterThan(5);
    for (const [i, a] of boxes.entries())
      for (const b of boxes.slice(i + 1)) expect(Math.abs(a.y - b.y) >= 15 || a.x + a.w <= b.x || b.x + b.w <= a.x).toBe(true);
  });
  it('draws only routes whose ends are there', () => {
    expect(plan(outing, 500, 300).lines).toHaveLength(1);
  });
  it('is empty without worksites', () => {
    expect(plan({ ...outing, worksites: [], routes: [] }, 500, 300)).toEqual({ spots: [], lines: [] });
  });
});
