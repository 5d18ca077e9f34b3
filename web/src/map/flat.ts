// The station as a flat plan, and where names fit beside what they name. Pure.
import { boundsOf, halfOf, type Scene, type Solid, type Vec, vec } from './scene';

export interface Point {
  readonly x: number;
  readonly y: number;
}
export type Projection = (at: Vec) => Point;

const mostStretch = 2;
// Closer together than this they would hide each other.
const ends = [0, 1, 2] as const;

export interface Flat {
  readonly project: Projection;
  /** A solid as it lies on the sheet: its outline is a rectangle, or round where one looks along a cylinder. */
  readonly outline: (solid: Solid) => { x: number; y: number; w: number; h: number; round: boolean };
}

/**
 * Looks along the axis in which the station is shallowest, so that as little as possible hides something else, and fits
 * it into the sheet; the wider direction may be stretched, because this is a plan to find places in, not a drawing to
 * measure.
 */
export function flat(scene: Scene, width: number, height: number, margin = 46): Flat {
  const { low, high } = boundsOf(scene);
  const axes = [...ends].sort((a, b) => high[b] - low[b] - (high[a] - low[a]));
  const across = axes[0] ?? 0;
  const along = axes[1] ?? 1;
  const away = axes[2] ?? 2;
  const room = (size: number) => Math.max(1, size - 2 * margin);
  const fitted = [room(width) / Math.max(0.1, high[across] - low[across]), room(height) / Math.max(0.1, high[along] - low[along])] as const;
  const least = Math.min(...fitted);
  const scaleX = Math.min(fitted[0], least * mostStretch);
  const scaleY = Math.min(fitted[1], least * mostStretch);
  const project: Projection = (at) => ({
    x: width / 2 + (at[across] - (low[across] + high[across]) / 2) * scaleX,
    y: height / 2 + (at[along] - (low[along] + high[along]) / 2) * scaleY,
  });
  return {
    project,
    outline: (solid) => {
      const centre = project(vec(solid.at_m));
      const half = halfOf(solid);
      const w = Math.max(2, 2 * half[across] * scaleX);
      const h = Math.max(2, 2 * half[along] * scaleY);
      return { x: centre.x - w / 2, y: centre.y - h / 2, w, h, round: solid.shape === 'cylinder' && Math.abs(solid.axis[away] ?? 0) > 0.9 };
    },
  };
}

export interface Named extends Point {
  readonly id: string;
  readonly name: string;
}
export interface Label extends Point {
  readonly side: 'start' | 'middle' | 'end';
}
interface Box extends Point {
  readonly w: number;
  readonly h: number;
}
const meets = (a: Box, b: Box): boolean => a.x < b.x + b.w && b.x < a.x + a.w && a.y < b.y + b.h && b.y < a.y + a.h;
// Of the widest font the page may get (DejaVu Sans) at the map's size.
export const perLetter = 7.3;
export const lineHeight = 15;

/**
 * Where each name goes so that it covers neither a spot, nor another name, nor anything else that is taken: below,
 * above, right or left of its spot, by id. A name for which there is no room is not in the answer. Those named first
 * choose first.
 */
export function placeNames(spots: readonly Named[], width: number, height: number, taken: readonly Box[] = []): Map<string, Label> {
  const full: Box[] = [...taken, ...spots.map((spot) => ({ x: spot.x - 9, y: spot.y - 9, w: 18, h: 18 }))];
  const labels = new Map<string, Label>();
  for (const spot of spots) {
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
      const off = box.x < 0 || box.x + w > width || box.y < 0 || box.y + box.h > height;
      if (off || full.some((other) => meets(box, other))) continue;
      full.push(box);
      labels.set(spot.id, { x: place.x - spot.x, y: place.y - spot.y, side: place.side });
      break;
    }
  }
  return labels;
}

/** Where a direction that leads out of the picture meets its edge. */
export function clampTo(from: Point, to: Point, width: number, height: number, margin: number): Point {
  const dx = to.x - from.x;
  const dy = to.y - from.y;
  const share = (start: number, step: number, size: number) => (step > 0 ? (size - margin - start) / step : step < 0 ? (margin - start) / step : Infinity);
  const most = Math.max(0, Math.min(1, share(from.x, dx, width), share(from.y, dy, height)));
  return { x: from.x + dx * most, y: from.y + dy * most };
}
