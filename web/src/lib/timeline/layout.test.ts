import { describe, expect, it } from 'vitest';
import { example } from '../example';
import { pet } from '../units';
import { bands, blocks, bounds, broken, fit, frame, gaps, hit, lanesOf, layersOf, posts } from './layout';
import type { View } from './view';

const all: View = { from: pet(0), to: pet(9000) };
const at = frame(lanesOf(example));

describe('rows', () => {
  it('put EV1 above the rail and EV2 below it, without overlap', () => {
    const [ev1, ev2] = at.rows;
    expect(ev1!.lane).toBe('EV1');
    expect(ev1!.y + ev1!.height).toBe(at.railY);
    expect(ev2!.y).toBe(at.railY + at.railHeight);
  });
  it('grow into the room there is, within reason', () => {
    const row = (room: number) => frame(new Set(['EV1', 'EV2']), room).rows[0]!.height;
    expect(row(0)).toBe(24);
    expect(row(300)).toBeGreaterThan(30);
    expect(row(3000)).toBe(170);
    expect(frame(new Set(['EV1', 'EV2', 'arm', 'IV']), 400).height).toBeLessThanOrEqual(400);
  });
  it('have a row for the arm only when it does something', () => {
    expect(frame(new Set(['EV1', 'EV2'])).rows).toHaveLength(2);
    expect(frame(new Set(['EV1', 'EV2', 'arm'])).rows.map((r) => r.lane)).toContain('arm');
  });
});

describe('blocks', () => {
  const placed = blocks(layersOf(example), all, 900, at);
  it('cover plan, what was done and what is ahead, once for each lane', () => {
    const count = (list: readonly { lanes: readonly unknown[] }[]) => list.reduce((n, a) => n + a.lanes.length, 0);
    expect(placed).toHaveLength(count(example.plan!.activities) + count(example.as_run) + count(example.forecast.activities));
  });
  it('have keys of their own', () => {
    expect(new Set(placed.map((b) => b.key)).size).toBe(placed.length);
  });
  it('stand where their times say', () => {
    const egress = placed.find((b) => b.layer === 'done' && b.activity.kind === 'egress')!;
    expect(egress.x).toBe(0);
    expect(egress.width).toBe(210);
  });
  it('outside the view are left out', () => {
    expect(blocks(layersOf(example), { from: pet(20000), to: pet(21000) }, 900, at)).toEqual([]);
  });
});

describe('the block under a point', () => {
  const placed = blocks(layersOf(example), all, 900, at);
  it('is the one drawn there, and none beside the rows', () => {
    const egress = placed.find((b) => b.layer === 'done' && b.activity.kind === 'egress')!;
    expect(hit(placed, egress.x + 5, egress.y + 5)).toBe(egress);
    expect(hit(placed, 5, at.railY + 5)).toBeNull();
  });
});

describe('posts', () => {
  it('join what both do together at its start and end', () => {
    const joint = example.as_run.filter((a) => a.lanes.length > 1).length + example.forecast.activities.filter((a) => a.lanes.length > 1).length;
    expect(posts(layersOf(example), { from: pet(-100), to: pet(9000) }, 900, at)).toHaveLength(2 * joint);
  });
});

describe('words in a block', () => {
  it('lose the task first, then their end, then go', () => {
    expect(fit('Swap the valve: open the panel', 340)).toBe('Swap the valve: open the panel');
    expect(fit('Swap the valve: open the panel', 130)).toBe('open the panel');
    expect(fit('Swap the valve: open the panel', 80)).toBe('open the…');
    expect(fit('Swap the valve: open the panel', 20)).toBe('');
  });
  it('break between words where the block is high enough', () => {
    expect(broken('Carry the panel to the right truss', 100, 3)).toEqual(['Carry the', 'panel to the', 'right truss']);
    expect(broken('Carry the panel to the right truss', 100, 2)).toEqual(['Carry the', 'panel to th…']);
    expect(broken('Carry the panel', 100, 1)).toEqual(['Carry the p…']);
    expect(broken('Carry the panel', 20, 3)).toEqual([]);
  });
});

describe('bands', () => {
  const windows = [
    { condition: 'daylight', worksite: '', from_s: 1000, to_s: 2000, note: '' },
    { condition: 'daylight', worksite: '', from_s: 3000, to_s: 20000, note: '' },
    { condition: 'daylight', worksite: 'W1', from_s: 0, to_s: 9000, note: '' },
  ];
  it('are the gaps between the windows of the whole station', () => {
    expect(gaps(windows, 'daylight', all)).toEqual([
      { from: 0, to: 1000 },
      { from: 2000, to: 3000 },
    ]);
  });
  it('are unknown where no window is given', () => {
    expect(gaps(windows, 'coverage', all)).toBeNull();
  });
  it('are cut at the edges and labelled where the word fits', () => {
    const drawn = bands([{ from: pet(-500), to: pet(1000) }, { from: pet(2000), to: pet(2050) }], all, 900, 'dark');
    expect(drawn).toMatchObject([
      { x: 0, width: 100, label: 'dark' },
      { x: 200, width: 5, label: '' },
    ]);
  });
});

describe('the bounds', () => {
  it('reach past the limit and before PET zero', () => {
    const b = bounds(example);
    expect(b.from).toBeLessThan(0);
    expect(b.to).toBeGreaterThan(example.finish.limit_pet_s);
  });
});
