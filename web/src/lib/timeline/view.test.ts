import { describe, expect, it } from 'vitest';
import { pet } from '../units';
import { following, pan, petOf, span, stripFor, ticks, type View, within, xOf, zoom } from './view';

const bounds: View = { from: pet(-1800), to: pet(25200) };
const view: View = { from: pet(3600), to: pet(10800) };

describe('the view of the timeline', () => {
  it('maps PET to pixels and back', () => {
    expect(xOf(view, 1000, 3600)).toBe(0);
    expect(xOf(view, 1000, 7200)).toBe(500);
    expect(petOf(view, 1000, 500)).toBe(7200);
  });
  it('keeps the instant under the pointer in place while zooming', () => {
    const at = pet(5400);
    const closer = zoom(bounds, view, 0.5, at);
    expect(span(closer)).toBe(3600);
    expect(xOf(closer, 1000, at)).toBeCloseTo(xOf(view, 1000, at));
  });
  it('never leaves the bounds and never gets shorter than ten minutes or longer than all', () => {
    expect(pan(bounds, view, -100_000)).toEqual({ from: -1800, to: 5400 });
    expect(pan(bounds, view, 100_000).to).toBe(25200);
    expect(zoom(bounds, view, 100, pet(7200))).toEqual(bounds);
    expect(span(zoom(bounds, view, 1e-6, pet(7200)))).toBe(600);
    expect(within({ from: pet(0), to: pet(60) }, view)).toEqual({ from: 0, to: 600 });
  });
  it('follows the clock with a quarter of it in the past', () => {
    const now = pet(7200);
    const followed = following(bounds, now, 7200);
    expect(xOf(followed, 100, now)).toBeCloseTo(25);
  });
});

describe('ticks', () => {
  it('stand on round minutes and never closer than asked', () => {
    const marks = ticks(view, 1000, 64);
    expect(marks.map((t) => t.label)).toContain('02:00');
    for (const [i, mark] of marks.entries()) {
      const next = marks[i + 1];
      if (next) expect(xOf(view, 1000, next.at) - xOf(view, 1000, mark.at)).toBeGreaterThanOrEqual(64);
    }
  });
  it('label instants before PET zero too', () => {
    expect(ticks({ from: pet(-3600), to: pet(0) }, 300).map((t) => t.label)).toContain('−00:30');
  });
});

describe('the strip that is painted', () => {
  const first = stripFor(bounds, view, 1000, null);
  it('reaches beyond the view, at its scale', () => {
    expect(first.view).toEqual({ from: 0, to: 14400 });
    expect(first.width).toBe(2000);
  });
  it('stays while the view lies in it, so that moving it paints nothing', () => {
    expect(stripFor(bounds, pan(bounds, view, 3000), 1000, first)).toBe(first);
  });
  it('is painted anew beyond its ends, at another scale, and for another width', () => {
    expect(stripFor(bounds, pan(bounds, view, 4000), 1000, first)).not.toBe(first);
    expect(stripFor(bounds, zoom(bounds, view, 0.5, pet(7200)), 1000, first)).not.toBe(first);
    expect(stripFor(bounds, view, 900, first)).not.toBe(first);
  });
  it('ends where the outing ends', () => {
    expect(stripFor(bounds, bounds, 1000, null)).toEqual({ view: bounds, width: 1000 });
  });
});
