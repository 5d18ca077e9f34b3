// The station as it is drawn, and where people are on it: along routes, over time. Pure.
import type { components } from '../lib/schema';

export type Scene = components['schemas']['Scene'];
export type Solid = Scene['solids'][number];
/** Metres in the station frame: x forward, y to the right, z towards the Earth. */
export type Vec = readonly [number, number, number];
export type Mover = 'EV1' | 'EV2' | 'arm';

export const vec = (from: readonly number[]): Vec => [from[0] ?? 0, from[1] ?? 0, from[2] ?? 0];
export const mix = (a: Vec, b: Vec, share: number): Vec => [a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share, a[2] + (b[2] - a[2]) * share];
export const distance = (a: Vec, b: Vec): number => Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);

export const siteOf = (scene: Scene, id: string | null | undefined) => scene.worksites.find((site) => site.id === id);
export function siteAt(scene: Scene, id: string | null | undefined): Vec | null {
  const site = siteOf(scene, id);
  return site ? vec(site.at_m) : null;
}

/** How long one leg of a way is along its handrails; where no route is known, as the crow flies. */
function legLength(scene: Scene, a: string, b: string): number {
  const route = scene.routes.find((one) => (one.a === a && one.b === b) || (one.a === b && one.b === a));
  if (route) return route.length_m;
  const from = siteAt(scene, a);
  const to = siteAt(scene, b);
  return from && to ? distance(from, to) : 0;
}

/** The point after `share` (0 to 1) of a way, in handrail metres; null when its worksites are unknown. */
export function alongPath(scene: Scene, path: readonly string[], share: number): Vec | null {
  const known = path.filter((id) => siteOf(scene, id));
  const first = known[0];
  const last = known.at(-1);
  if (first === undefined || last === undefined) return null;
  if (share <= 0) return siteAt(scene, first);
  if (share >= 1) return siteAt(scene, last);
  const legs = known.slice(1).map((to, i) => ({ from: known[i] ?? to, to, length: legLength(scene, known[i] ?? to, to) }));
  let left = share * legs.reduce((sum, leg) => sum + leg.length, 0);
  for (const leg of legs) {
    const from = siteAt(scene, leg.from);
    const to = siteAt(scene, leg.to);
    if (from && to && left < leg.length) return mix(from, to, left / leg.length);
    left -= leg.length;
  }
  return siteAt(scene, last);
}

/** What of an activity moves somebody. */
export interface Moving {
  readonly kind: string;
  readonly lanes: readonly string[];
  readonly start_s: number;
  readonly duration_s: number;
  readonly path: readonly string[];
}

/** Where someone is by a list of activities: on the last way they began. Before the first: at home. */
export function placeAt(scene: Scene, activities: readonly Moving[], who: Mover, t: number): { at: Vec | null; site: string | null; moving: boolean } {
  const home = who === 'arm' ? (scene.arm?.parked ?? null) : scene.airlock;
  let last: Moving | null = null;
  for (const one of activities)
    if (one.start_s <= t && one.path.length > 0 && one.lanes.includes(who) && (last === null || one.start_s >= last.start_s)) last = one;
  if (last === null) return { at: siteAt(scene, home), site: home, moving: false };
  const share = last.duration_s > 0 ? Math.min(1, (t - last.start_s) / last.duration_s) : 1;
  const moving = last.path.length > 1 && share < 1;
  return { at: alongPath(scene, last.path, share), site: moving ? null : (last.path.at(-1) ?? null), moving };
}

/** Where somebody's safety tether is anchored: at the last swap that has ended, else at the airlock. */
export function anchorAt(scene: Scene, activities: readonly Moving[], who: Mover, t: number): string {
  let anchor = scene.airlock;
  let since = -Infinity;
  for (const one of activities) {
    const end = one.start_s + one.duration_s;
    const place = one.path.at(-1);
    if (one.kind === 'tether_swap' && one.lanes.includes(who) && end <= t && end >= since && place !== undefined) {
      anchor = place;
      since = end;
    }
  }
  return anchor;
}

/** The arm in two links of equal length, its elbow on the side away from the Earth, where there is room. */
export function armJoints(scene: Scene, tip: Vec | null): readonly Vec[] {
  if (!scene.arm || !tip) return [];
  const base = vec(scene.arm.base_m);
  const link = Math.max(scene.arm.reach_m, distance(base, tip)) / 2;
  const rise = Math.sqrt(Math.max(0, link * link - (distance(base, tip) / 2) ** 2));
  const middle = mix(base, tip, 0.5);
  // Not the whole rise: a folded arm is drawn folded, not as a tower.
  return [base, [middle[0], middle[1], middle[2] - Math.min(rise, link * 0.6)], tip];
}

/** Everything that is to be seen, as a box. */
export function boundsOf(scene: Scene): { low: Vec; high: Vec } {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  const take = (at: readonly number[], half: readonly number[]) => {
    for (const i of [0, 1, 2]) {
      low[i] = Math.min(low[i] ?? 0, (at[i] ?? 0) - (half[i] ?? 0));
      high[i] = Math.max(high[i] ?? 0, (at[i] ?? 0) + (half[i] ?? 0));
    }
  };
  for (const site of scene.worksites) take(site.at_m, [0, 0, 0]);
  for (const solid of scene.solids) take(solid.at_m, halfOf(solid));
  if (!Number.isFinite(low[0])) return { low: [0, 0, 0], high: [0, 0, 0] };
  return { low: vec(low), high: vec(high) };
}

/** Half the edges of the box around a solid. */
export function halfOf(solid: Solid): Vec {
  if (solid.shape === 'box') return vec(solid.size_m.map((edge) => edge / 2));
  const axis = vec(solid.axis);
  const across = (part: number) => (solid.length_m / 2) * Math.abs(part) + solid.radius_m * Math.sqrt(Math.max(0, 1 - part * part));
  return [across(axis[0]), across(axis[1]), across(axis[2])];
}
