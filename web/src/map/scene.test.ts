import { describe, expect, it } from 'vitest';
import { yard } from './invented';
import { alongPath, anchorAt, armJoints, boundsOf, distance, placeAt, vec } from './scene';

const move = (kind: string, lanes: string[], start_s: number, duration_s: number, path: string[]) => ({ kind, lanes, start_s, duration_s, path });

describe('a way along routes', () => {
  it('is measured in handrail metres, not as the crow flies', () => {
    // 30 of 40 m of handrail lie before the middle, though it is half-way in space.
    expect(alongPath(yard, ['door', 'mid', 'tip'], 0.75)).toEqual([0, 10, 0]);
    expect(alongPath(yard, ['door', 'mid', 'tip'], 0.375)).toEqual([0, 5, 0]);
    expect(alongPath(yard, ['door', 'mid', 'tip'], 0.875)).toEqual([0, 15, 1]);
  });
  it('begins and ends at its worksites, whatever the share', () => {
    expect(alongPath(yard, ['tip', 'mid'], -1)).toEqual([0, 20, 2]);
    expect(alongPath(yard, ['tip', 'mid'], 2)).toEqual([0, 10, 0]);
    expect(alongPath(yard, ['mid'], 0.5)).toEqual([0, 10, 0]);
  });
  it('goes straight where no route is known, and nowhere when its worksites are not', () => {
    expect(alongPath(yard, ['door', 'tip'], 0.5)).toEqual([0, 10, 1]);
    expect(alongPath(yard, ['x', 'y'], 0.5)).toBeNull();
    expect(alongPath(yard, [], 0.5)).toBeNull();
  });
});

describe('where somebody is by the plan', () => {
  const plan = [
    move('translate', ['EV1'], 100, 40, ['door', 'mid']),
    move('step', ['EV1', 'EV2'], 140, 60, ['mid']),
    move('step', ['EV1', 'arm'], 300, 100, ['mid', 'tip']),
    move('step', ['ground'], 310, 10, []),
  ];
  it('is at home before anything begins', () => {
    expect(placeAt(yard, plan, 'EV1', 0)).toEqual({ at: [0, 0, 0], site: 'door', moving: false });
    expect(placeAt(yard, plan, 'arm', 0).site).toBe('mid');
  });
  it('is on the way while a way lasts, and at its end from then on', () => {
    expect(placeAt(yard, plan, 'EV1', 120)).toEqual({ at: [0, 5, 0], site: null, moving: true });
    expect(placeAt(yard, plan, 'EV1', 140)).toEqual({ at: [0, 10, 0], site: 'mid', moving: false });
    expect(placeAt(yard, plan, 'EV1', 250).site).toBe('mid');
  });
  it('rides with the arm', () => {
    expect(placeAt(yard, plan, 'EV1', 350).at).toEqual(placeAt(yard, plan, 'arm', 350).at);
    expect(placeAt(yard, plan, 'arm', 1000).site).toBe('tip');
  });
  it('a tether is anchored anew when the swap has ended, not before', () => {
    const swap = [move('tether_swap', ['EV2'], 50, 60, ['mid'])];
    expect(anchorAt(yard, swap, 'EV2', 100)).toBe('door');
    expect(anchorAt(yard, swap, 'EV2', 110)).toBe('mid');
    expect(anchorAt(yard, swap, 'EV1', 110)).toBe('door');
  });
});

it('the arm has two links that meet', () => {
  const joints = armJoints(yard, [0, 10, 0]);
  expect(joints).toHaveLength(3);
  expect(joints[0]).toEqual([0, 5, 0]);
  expect(joints[2]).toEqual([0, 10, 0]);
  expect(distance(joints[0]!, joints[1]!)).toBeCloseTo(distance(joints[1]!, joints[2]!));
  expect(armJoints(yard, null)).toEqual([]);
  expect(armJoints({ ...yard, arm: null }, [0, 0, 0])).toEqual([]);
});
it('the bounds hold solids and worksites', () => {
  expect(boundsOf(yard)).toEqual({ low: vec([-6, -2, -2]), high: vec([6, 22, 2]) });
});
