// The station seen from above as a plain plan: where each worksite goes on a sheet of paper. Pure.
import type { Outing } from './types';

export interface Spot {
  readonly id: string;
  readonly name: string;
  readonly x: number;
  readonly y: number;
  readonly anchor: boolean;
}
export interface Plan {
  readonly spots: readonly Spot[];
  readonly lines: readonly { readonly key: string; readonly a: Spot; readonly b: Spot; readonly length_m: number }[];
}

/**
 * Looks along the axis in which the worksites lie closest together, so that as few as possible hide each other, and
 * fits them into the sheet with the same scale both ways.
 */
export function plan(outing: Outing, width: number, height: number, margin = 46): Plan {
  const axes = ['x_m', 'y_m', 'z_m'] as const;
  const extent = axes.map((axis) => {
    const values = outing.worksites.map((w) => w[axis]);
    return { axis, low: Math.min(...values), high: Math.max(...values) };
  });
  const [across, along] = extent.sort((a, b) => b.high - b.low - (a.high - a.low));
  if (!across || !along || outing.worksites.length === 0) return { spots: [], lines: [] };
  const room = (size: number) => Math.max(1, size - 2 * margin);
  const scale = Math.min(room(width) / Math.max(0.1, across.high - across.low), room(height) / Math.max(0.1, along.high - along.low));
  const spots = outing.worksites.map((w) => ({
    id: w.id,
    name: w.name,
    anchor: w.anchor,
    x: width / 2 + (w[across.axis] - (across.low + across.high) / 2) * scale,
    y: height / 2 + (w[along.axis] - (along.low + along.high) / 2) * scale,
  }));
  const byId = new Map(spots.map((spot) => [spot.id, spot]));
  const lines = outing.routes.flatMap((route) => {
    const a = byId.get(route.a);
    const b = byId.get(route.b);
    return a && b ? [{ key: `${route.a} ${route.b}`, a, b, length_m: route.length_m }] : [];
  });
  return { spots, lines };
}
