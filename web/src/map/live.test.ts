import { expect, it } from 'vitest';
import type { Status } from '../lib/types';
import { yard } from './invented';
import { armNow, crewNow, itemCounts } from './live';

const status = {
  crew: [
    { id: 'EV1', outside: true, at: { id: 'mid', name: 'mid' }, anchor: { id: 'door', name: 'door' } },
    { id: 'EV2', outside: false, at: { id: 'door', name: 'door' }, anchor: { id: 'door', name: 'door' } },
  ],
  as_run: [{ kind: 'translate', lanes: ['EV1'], start_s: 100, duration_s: 40, path: ['door', 'mid'], status: 'running' }],
  items: [
    { place: 'mid', where: 'loose' }, { place: 'mid', where: 'installed' }, { place: 'EV1', where: 'carried' }, { place: null, where: 'lost' },
  ],
} as unknown as Status;

it('who is on the way is drawn on the way, and at its end when it takes longer than thought', () => {
  expect(crewNow(yard, status, 120)[0]).toMatchObject({ at: [0, 5, 0], site: null });
  expect(crewNow(yard, status, 400)[0]).toMatchObject({ at: [0, 10, 0], site: 'mid' });
});
it('who is inside has no tether on the map', () => {
  expect(crewNow(yard, status, 120).map((one) => one.anchor)).toEqual(['door', null]);
});
it('the arm stands where it is parked until it moves', () => {
  expect(armNow(yard, status, 120)).toEqual([0, 10, 0]);
  expect(armNow({ ...yard, arm: null }, status, 120)).toBeNull();
});
it('items in a hand or lost are at no worksite', () => {
  expect(itemCounts(status)).toEqual({ mid: 2 });
});
