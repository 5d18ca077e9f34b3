import { describe, expect, it } from 'vitest';
import { clampTo, flat, perLetter, placeNames } from './flat';
import { yard } from './invented';
import type { Scene } from './scene';

const bare = (at: [string, number, number, number][]): Scene => ({
  name: '', airlock: 'a', arm: null, routes: [], solids: [],
  worksites: at.map(([id, x, y, z]) => ({ id, name: id, about: '', at_m: [x, y, z], outward: [0, 0, -1], anchor: false })),
});

describe('the flat plan of the station', () => {
  it('looks along the shallowest axis', () => {
    const { project } = flat(bare([['a', 0, 0, 0], ['b', 40, 1, 10], ['c', 20, 2, -10]]), 500, 300, 50);
    expect(project([40, 1, 10]).x - project([0, 0, 0]).x).toBeCloseTo(400);
    expect(project([40, 1, 10]).y - project([20, 2, -10]).y).toBeCloseTo(200);
  });
  it('fits everything, solids too, inside the margin', () => {
    const drawn = flat(yard, 500, 120, 20);
    for (const solid of yard.solids) {
      const { x, y, w, h } = drawn.outline(solid);
      expect(x).toBeGreaterThanOrEqual(20 - 1e-9);
      expect(y).toBeGreaterThanOrEqual(20 - 1e-9);
      expect(x + w).toBeLessThanOrEqual(480 + 1e-9);
      expect(y + h).toBeLessThanOrEqual(100 + 1e-9);
    }
  });
  it('draws a cylinder round when one looks along it', () => {
    const upright = { shape: 'cylinder' as const, at_m: [0, 0, 0], axis: [0, 0, 1], radius_m: 2, length_m: 1 };
    expect(flat({ ...yard, solids: [upright] }, 500, 300).outline(upright).round).toBe(true);
    expect(flat(yard, 500, 300).outline(yard.solids[0]!).round).toBe(false);
  });
  it('stands without a single worksite', () => {
    const { project } = flat(bare([]), 500, 300);
    expect(project([0, 0, 0])).toEqual({ x: 250, y: 150 });
  });
});

describe('names on the map', () => {
  const crowd = Array.from({ length: 12 }, (_, i) => ({ id: String(i), name: `a rather long name ${i}`, x: 60 + 60 * i, y: 100 + ((i * 7) % 5) * 20 }));
  it('never cover another name, and stay on the sheet', () => {
    const labels = placeNames(crowd, 900, 300);
    const boxes = crowd.flatMap((spot) => {
      const label = labels.get(spot.id);
      if (!label) return [];
      const w = spot.name.length * perLetter;
      return [{ x: spot.x + label.x - (label.side === 'middle' ? w / 2 : label.side === 'end' ? w : 0), y: spot.y + label.y, w }];
    });
    expect(boxes.length).toBeGreaterThan(5);
    for (const [i, a] of boxes.entries()) {
      expect(a.x).toBeGreaterThanOrEqual(0);
      expect(a.x + a.w).toBeLessThanOrEqual(900);
      for (const b of boxes.slice(i + 1)) expect(Math.abs(a.y - b.y) >= 15 || a.x + a.w <= b.x || b.x + b.w <= a.x).toBe(true);
    }
  });
  it('go to those named first when there is no room for all', () => {
    const two = [{ id: 'a', name: 'a very long name indeed', x: 85, y: 20 }, { id: 'b', name: 'a very long name indeed', x: 88, y: 22 }];
    expect(placeNames(two, 170, 50).has('a')).toBe(true);
    expect(placeNames(two, 170, 50).has('b')).toBe(false);
  });
});

it('a direction that leads out of the picture is kept at its edge', () => {
  expect(clampTo({ x: 50, y: 50 }, { x: 250, y: 50 }, 100, 100, 10)).toEqual({ x: 90, y: 50 });
  expect(clampTo({ x: 50, y: 50 }, { x: 60, y: 55 }, 100, 100, 10)).toEqual({ x: 60, y: 55 });
});
