// What the walk-through shows at a moment of the plan: pure functions of the plan and the time.
import type { components } from '../lib/schema';
import { anchorAt, placeAt, type Vec } from '../map/scene';

export type Walk = components['schemas']['WalkThrough'];
export type WalkActivity = Walk['activities'][number];

export const speeds = [10, 30, 60, 120, 300, 600] as const;

/** The speed one up or down; the ends stay. */
export function speedNext(speed: number, by: 1 | -1): number {
  const i = speeds.findIndex((one) => one === speed);
  return speeds[Math.min(speeds.length - 1, Math.max(0, i + by))] ?? 60;
}
export const clampTime = (walk: Pick<Walk, 'finish_s'>, t: number): number => Math.min(walk.finish_s, Math.max(0, t));

export interface Standing {
  readonly id: 'EV1' | 'EV2';
  readonly at: Vec | null;
  readonly site: string | null;
  readonly anchor: string | null;
}
export function crewAt(walk: Walk, t: number): Standing[] {
  return (['EV1', 'EV2'] as const).map((id) => {
    const { at, site } = placeAt(walk.station, walk.activities, id, t);
    const outside = walk.activities.some((one) => one.kind === 'egress' && one.start_s <= t) && !walk.activities.some((one) => one.kind === 'ingress' && one.start_s + one.duration_s <= t);
    return { id, at, site, anchor: outside ? anchorAt(walk.station, walk.activities, id, t) : null };
  });
}
export const armAt = (walk: Walk, t: number): Vec | null => (walk.station.arm ? placeAt(walk.station, walk.activities, 'arm', t).at : null);

const on = (lane: string) => (one: WalkActivity): boolean => one.lanes.some((each) => each === lane);

/** What is done on a lane at a moment; the one that began last where two overlap. */
export function doingAt(walk: Walk, lane: string, t: number): WalkActivity | null {
  return walk.activities.filter((one) => on(lane)(one) && one.start_s <= t && t < one.start_s + one.duration_s).at(-1) ?? null;
}
/** The next step, or going in: not the next reach for a tool. */
export function nextOn(walk: Walk, lane: string, t: number): WalkActivity | null {
  const telling = ['step', 'clean_up', 'ingress'];
  return walk.activities.find((one) => on(lane)(one) && one.start_s > t && telling.includes(one.kind)) ?? null;
}
/** What goes on inside and on the ground without either of the two. */
export function elsewhereAt(walk: Walk, t: number): WalkActivity | null {
  return walk.activities.filter((one) => !on('EV1')(one) && !on('EV2')(one) && one.kind === 'step' && one.start_s <= t && t < one.start_s + one.duration_s).at(-1) ?? null;
}

/** The moments worth jumping to: where a step begins, going out, and coming in. */
export function moments(walk: Walk): number[] {
  const starts = walk.activities.filter((one) => one.kind === 'step' || one.kind === 'egress' || one.kind === 'ingress' || one.kind === 'clean_up').map((one) => one.start_s);
  return [...new Set(starts)].sort((a, b) => a - b);
}
export const momentAfter = (all: readonly number[], t: number): number | null => all.find((one) => one > t + 0.5) ?? null;
export const momentBefore = (all: readonly number[], t: number): number | null => all.findLast((one) => one < t - 0.5) ?? null;
