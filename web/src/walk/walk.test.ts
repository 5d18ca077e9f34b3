import { describe, expect, it } from 'vitest';
import { yard } from '../map/invented';
import { armAt, clampTime, crewAt, doingAt, elsewhereAt, momentAfter, momentBefore, moments, nextOn, speedNext, type Walk } from './walk';

const one = (kind: string, lanes: string[], start_s: number, duration_s: number, path: string[], title: string) => ({ kind, lanes, start_s, duration_s, path, title, words: '' });
const walk = {
  finish_s: 1000,
  station: yard,
  activities: [
    one('egress', ['EV1', 'EV2'], 0, 100, ['door'], 'out'),
    one('translate', ['EV1'], 100, 40, ['door', 'mid'], 'to mid'),
    one('step', ['EV1'], 140, 300, ['mid'], 'valve'),
    one('step', ['ground'], 150, 60, [], 'ground valve'),
    one('step', ['EV2', 'IV'], 200, 60, ['door'], 'lamp'),
    one('ingress', ['EV1', 'EV2'], 900, 100, ['door'], 'in'),
  ],
} as unknown as Walk;

describe('captions', () => {
  it('say what is done on a lane, and what comes next', () => {
    expect(doingAt(walk, 'EV1', 120)?.title).toBe('to mid');
    expect(doingAt(walk, 'EV1', 140)?.title).toBe('valve');
    expect(doingAt(walk, 'EV1', 440)).toBeNull();
    expect(nextOn(walk, 'EV1', 50)?.title).toBe('valve');
    expect(nextOn(walk, 'EV1', 440)?.title).toBe('in');
    expect(nextOn(walk, 'EV1', 950)).toBeNull();
  });
  it('tell of the ground only what neither of the two is part of', () => {
    expect(elsewhereAt(walk, 160)?.title).toBe('ground valve');
    expect(elsewhereAt(walk, 230)).toBeNull();
  });
});

describe('the moments', () => {
  const all = moments(walk);
  it('are the starts of steps, going out and coming in', () => expect(all).toEqual([0, 140, 150, 200, 900]));
  it('lead on and back, and end at the ends', () => {
    expect(momentAfter(all, 140)).toBe(150);
    expect(momentBefore(all, 140)).toBe(0);
    expect(momentAfter(all, 900)).toBeNull();
    expect(momentBefore(all, 0)).toBeNull();
  });
});

it('the crew are tethered while they are outside', () => {
  expect(crewAt(walk, 50).map((each) => each.anchor)).toEqual(['door', 'door']);
  expect(crewAt(walk, 1000).map((each) => each.anchor)).toEqual([null, null]);
  expect(crewAt(walk, 120)[0]).toMatchObject({ at: [0, 5, 0], site: null });
});
it('the arm is where it is parked until it is moved', () => expect(armAt(walk, 500)).toEqual([0, 10, 0]));
it('time stays within the plan and speed within its steps', () => {
  expect([clampTime(walk, -5), clampTime(walk, 500), clampTime(walk, 5000)]).toEqual([0, 500, 1000]);
  expect([speedNext(60, 1), speedNext(600, 1), speedNext(10, -1), speedNext(60, -1)]).toEqual([120, 600, 10, 30]);
});
