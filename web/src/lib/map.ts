// The station seen from above as a plain plan: where each worksite goes on a sheet of paper. Pure.
import type { Outing } from './types';

export interface Spot {
  readonly id: string;
  readonly name: string;
  readonly x: number;
  readonly y: number;
  readonly anchor: boolean;
  readonly label: { readonly x: number; readonly y: number; readonly side: 'start' | 'middle' | 'end' } | null; // null: no room
}
export interface Plan {
  readonly spots: readonly Spot[];
  readonly lines: readonly { readonly key: string; readonly a: Spot; readonly b: Spot; readonly length_m: number }[];
}

const mostStretch = 2;

/**
 * Looks along the axis in which the worksites lie closest together, so that as few as possible hide each other, and
 * fits them into the sheet; the wider direction may be stretched, because this is a plan to find places in, not a
 * drawing to measure.
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
  const fitted = [room(width) / Math.max(0.1, across.high - across.low), room(height) / Math.max(0.1, along.high - along.low)] as const;
  const least = Math.min(...fitted);
  const scaleX = Math.min(fitted[0], least * mostStretch);
  const scaleY = Math.min(fitted[1], least * mostStretch);
  const spots = labelled(
    outing.worksites.map((w) => ({
      id: w.id,
      name: w.name,
      anchor: w.anchor,
      x: width / 2 + (w[across.axis] - (across.low + across.high) / 2) * scaleX,
      y: height / 2 + (w[along.axis] - (along.low + along.high) / 2) * scaleY,
    })),
    width,
  );
  const byId = new Map(spots.map((spot) => [spot.id, spot]));
  const lines = outing.routes.flatMap((route) => {
    const a = byId.get(route.a);
    const b = byId.get(route.b);
    return a && b ? [{ key: `${route.a} ${route.b}`, a, b, length_m: route.length_m }] : [];
  });
  return { spots, lines };
}

interface Box {
  readonly x: number;
  readonly y: number;
  readonly w: number;
  readonly h: number;
}
const meets = (a: Box, b: Box): boolean => a.x < b.x + b.w && b.x < a.x + a.w && a.y < b.y + b.h && b.y < a.y + a.h;
const perLetter = 6.8;
const lineHeight = 15;

/** Gives each spot its name where it covers neither a spot nor another name: below, above, right or left of it. */
function labelled(spots: readonly Omit<Spot, 'label'>[], width: number): Spot[] {
  const taken: Box[] = spots.map((spot) => ({ x: spot.x - 9, y: spot.y - 9, w: 18, h: 18 }));
  return spots.map((spot) => {
    const w = spot.name.length * perLetter;
    const places = [
      { x: spot.x, y: spot.y + 23, side: 'middle', left: spot.x - w / 2 },
      { x: spot.x, y: spot.y - 13, side: 'middle', left: spot.x - w / 2 },
      { x: spot.x + 12, y: spot.y + 5, side: 'start', left: spot.x + 12 },
      { x: spot.x - 12, y: spot.y + 5, side: 'end', left: spot.x - 12 - w },
      { x: spot.x + 10, y: spot.y + 38, side: 'start', left: spot.x + 10 },
      { x: spot.x - 10, y: spot.y - 28, side: 'end', left: spot.x - 10 - w },
    ] as const;
    for (const place of places) {
      const box = { x: place.left, y: place.y - lineHeight + 3, w, h: lineHeight };
      if (box.x < 0 || box.x + w > width || taken.some((other) => meets(box, other))) continue;
      taken.push(box);
      return { ...spot, label: { x: place.x - spot.x, y: place.y - spot.y, side: place.side } };
    }
    return { ...spot, label: null };
  });
}
