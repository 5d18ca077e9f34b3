// The stretch of PET the timeline shows: zoom, pan and ticks as pure functions.
import { pet, type PetSeconds, printPet } from '../units';

export interface View {
  readonly from: PetSeconds;
  readonly to: PetSeconds;
}

const shortest = 10 * 60;

const make = (from: number, to: number): View => ({ from: pet(from), to: pet(to) });
export const span = (view: View): number => view.to - view.from;
export const xOf = (view: View, width: number, at: number): number => ((at - view.from) / span(view)) * width;
export const petOf = (view: View, width: number, x: number): PetSeconds => pet(view.from + (x / width) * span(view));

/** Keeps the view inside the bounds and no shorter than ten minutes; as long as the bounds at most. */
export function within(bounds: View, view: View): View {
  const length = Math.min(Math.max(shortest, span(view)), Math.max(shortest, span(bounds)));
  const from = Math.min(Math.max(view.from, bounds.from), bounds.to - length);
  return make(Math.max(from, bounds.from), Math.max(from, bounds.from) + length);
}

/** Zooms by `factor` (below 1: closer) keeping the instant `at` where it is on the screen. */
export function zoom(bounds: View, view: View, factor: number, at: PetSeconds): View {
  const length = Math.min(Math.max(shortest, span(view) * factor), Math.max(shortest, span(bounds)));
  const share = (at - view.from) / span(view);
  return within(bounds, make(at - share * length, at - share * length + length));
}

export const pan = (bounds: View, view: View, by: number): View => within(bounds, make(view.from + by, view.to + by));

/** The view that follows the clock: a quarter of it has passed, the rest is to come. */
export const following = (bounds: View, now: PetSeconds, length: number): View =>
  within(bounds, make(now - length / 4, now + (length * 3) / 4));

/** What is painted: wider than the view, so that moving the view only moves the picture. */
export interface Strip {
  readonly view: View;
  readonly width: number;
}
const reach = 0.5; // of the view's length, on either side
/** `kept` again while the view lies within it at the same scale; else a new strip around the view, within the bounds. */
export function stripFor(bounds: View, view: View, width: number, kept: Strip | null): Strip {
  const scale = width / span(view);
  if (kept && Math.abs(kept.width / span(kept.view) / scale - 1) < 1e-6 && kept.view.from <= view.from + 1e-6 && kept.view.to >= view.to - 1e-6) return kept;
  const around = make(Math.max(Math.min(bounds.from, view.from), view.from - reach * span(view)), Math.min(Math.max(bounds.to, view.to), view.to + reach * span(view)));
  return { view: around, width: scale * span(around) };
}

export interface Tick {
  readonly at: PetSeconds;
  readonly label: string;
}
const steps = [60, 5 * 60, 10 * 60, 15 * 60, 30 * 60, 3600, 2 * 3600, 4 * 3600];
/** Round instants at least `gap` pixels apart. */
export function ticks(view: View, width: number, gap = 64): Tick[] {
  const perPixel = span(view) / Math.max(1, width);
  const step = steps.find((s) => s / perPixel >= gap) ?? 8 * 3600;
  const out: Tick[] = [];
  for (let at = Math.ceil(view.from / step) * step; at <= view.to; at += step) out.push({ at: pet(at), label: printPet(pet(at)) });
  return out;
}
