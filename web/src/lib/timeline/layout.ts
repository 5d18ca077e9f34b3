// Where every block of the timeline goes: pure, from the status and the view to rectangles in pixels.
import type { Activity, Lane, Status, Window } from '../types';
import { pet, type PetSeconds } from '../units';
import { type View, xOf } from './view';

/** plan: as adopted. done: it happened or is running. ahead: forecast from now. */
export type Layer = 'plan' | 'done' | 'ahead';

export interface Words {
  readonly words: string;
  readonly strong: boolean;
}
export interface Block {
  readonly key: string;
  readonly layer: Layer;
  readonly lane: Lane;
  readonly activity: Activity;
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
  readonly lines: readonly Words[]; // what fits into it
}
/** The bar that joins the blocks of two crew members who do one step together, across the rail. */
export interface Post {
  readonly key: string;
  readonly layer: Layer;
  readonly x: number;
  readonly y: number;
  readonly height: number;
}
export interface Band {
  readonly key: string;
  readonly x: number;
  readonly width: number;
  readonly label: string;
}
export interface Row {
  readonly lane: Lane;
  readonly y: number; // of the main blocks
  readonly height: number;
  readonly planY: number;
  readonly planHeight: number;
}

/** EV1 stands above the rail and EV2 below it; the rail between them carries time, light and coverage. */
export interface Frame {
  readonly rows: readonly Row[];
  readonly railY: number;
  readonly railHeight: number;
  readonly height: number;
}

const lowest = 24;
const highest = 170;
const railHeight = 58;
const gap = 4;
/** The strip below that shows the whole outing, and the space around it. */
const overviewHeight = 34;
/** With less room than this the crew's rows come before the strip. */
export const roomForOverview = (room: number): boolean => room === 0 || room >= 225;

/** `room`: the height there is; the crew's rows take what the others leave, within reason. */
export function frame(lanes: ReadonlySet<Lane>, room = 0): Frame {
  const tight = room > 0 && room < 340;
  const planHeight = tight ? 8 : 12;
  const otherHeight = tight ? 14 : 24;
  const otherPlan = tight ? 2 : 6;
  const otherGap = tight ? 1 : gap;
  const others = (['arm', 'IV', 'ground'] as const).filter((lane) => lanes.has(lane));
  const fixed = gap + 2 * (planHeight + 2) + railHeight + gap * 2 + others.length * (otherHeight + 1 + otherPlan + otherGap);
  const crewHeight = Math.min(highest, Math.max(lowest, Math.floor((room - (roomForOverview(room) ? overviewHeight : 0) - fixed) / 2)));
  const rows: Row[] = [];
  let y = gap;
  rows.push({ lane: 'EV1', planY: y, planHeight, y: y + planHeight + 2, height: crewHeight });
  y += planHeight + 2 + crewHeight;
  const railY = y;
  y += railHeight;
  rows.push({ lane: 'EV2', y, height: crewHeight, planY: y + crewHeight + 2, planHeight });
  y += crewHeight + 2 + planHeight + gap * 2;
  for (const lane of others) {
    rows.push({ lane, y, height: otherHeight, planY: y + otherHeight + 1, planHeight: otherPlan });
    y += otherHeight + 1 + otherPlan + otherGap;
  }
  return { rows, railY, railHeight, height: y };
}

export function lanesOf(status: Status): Set<Lane> {
  const lanes = new Set<Lane>(['EV1', 'EV2']);
  for (const list of [status.plan?.activities ?? [], status.as_run, status.forecast.activities])
    for (const activity of list) for (const lane of activity.lanes) lanes.add(lane);
  return lanes;
}

/** Everything there is to see, with a little room: before PET zero to the limit. */
export function bounds(status: Status): View {
  const ends = [status.finish.limit_pet_s, status.finish.forecast_pet_s ?? 0, status.pet_s];
  for (const list of [status.plan?.activities ?? [], status.forecast.activities])
    for (const activity of list) ends.push(activity.start_s + activity.duration_s);
  return { from: pet(Math.min(-15 * 60, status.pet_s - 60)), to: pet(Math.max(...ends) + 20 * 60) };
}

/** Of the widest face this page may be shown in, so that words end inside their block. */
const pixelsPerLetter = 7.6;
/** The words that fit: the step without its task's name, cut with an ellipsis, or nothing. */
export function fit(title: string, width: number): string {
  const colon = title.indexOf(': ');
  const short = colon >= 0 ? title.slice(colon + 2) : title;
  const room = Math.floor((width - 8) / pixelsPerLetter);
  for (const words of [title, short]) if (words.length <= room) return words;
  return room >= 4 ? `${short.slice(0, room - 1).trimEnd()}…` : '';
}

/** Broken between words into as many lines as there are; the last is cut where that is not enough. */
export function broken(text: string, width: number, lines: number): string[] {
  const room = Math.floor((width - 8) / pixelsPerLetter);
  if (room < 4) return [];
  const out: string[] = [];
  let rest = text;
  while (out.length < lines - 1 && rest.length > room) {
    const space = rest.lastIndexOf(' ', room);
    if (space <= 0) break;
    out.push(rest.slice(0, space));
    rest = rest.slice(space + 1);
  }
  return [...out, fit(rest, width)].filter((line) => line !== '');
}

export const lineHeight = 14;
/** As many lines as the block is high: the step, and above it the task where there is room for both. */
function wordsIn(title: string, width: number, height: number): Words[] {
  const colon = title.indexOf(': ');
  const most = Math.floor((height - 4) / lineHeight);
  if (most < 2) return broken(title.slice(colon < 0 || fit(title, width) === title ? 0 : colon + 2), width, 1).map((words) => ({ words, strong: true }));
  const step = broken(colon < 0 ? title : title.slice(colon + 2), width, Math.min(3, most)).map((words) => ({ words, strong: true }));
  const task = colon < 0 || step.length >= most ? '' : fit(title.slice(0, colon), width);
  return task ? [{ words: task, strong: false }, ...step] : step;
}

export interface Sight {
  readonly from: number;
  readonly to: number;
}
/** What is drawn: the adopted plan, what happened, what is ahead (the forecast, or a draft in its place). */
export interface Layers {
  readonly plan: readonly Activity[];
  readonly done: readonly Activity[];
  readonly ahead: readonly Activity[];
}
export const layersOf = (status: Status): Layers => ({ plan: status.plan?.activities ?? [], done: status.as_run, ahead: status.forecast.activities });

/** `sight`: what of the strip is on the screen, in pixels; words stay in sight when a block begins before it. */
export function blocks(layers: Layers, view: View, width: number, at: Frame, sight: Sight = { from: 0, to: width }): Block[] {
  const out: Block[] = [];
  const rowOf = new Map(at.rows.map((row) => [row.lane, row]));
  const place = (list: readonly Activity[], layer: Layer): void => {
    for (const activity of list) {
      const x = xOf(view, width, activity.start_s);
      const end = xOf(view, width, activity.start_s + activity.duration_s);
      if (end < 0 || x > width) continue;
      const wide = Math.max(1.5, end - x);
      const visible = x < sight.from && end > sight.from ? end - sight.from : end - x;
      for (const lane of activity.lanes) {
        const row = rowOf.get(lane);
        if (!row) continue;
        const isPlan = layer === 'plan';
        out.push({
          key: `${layer} ${lane} ${activity.start_s} ${activity.label ?? activity.kind}`,
          layer,
          lane,
          activity,
          x,
          y: isPlan ? row.planY : row.y,
          width: wide,
          height: isPlan ? row.planHeight : row.height,
          lines: isPlan ? [] : wordsIn(activity.title, visible, row.height),
        });
      }
    }
  };
  place(layers.plan, 'plan');
  place(layers.done, 'done');
  place(layers.ahead, 'ahead');
  return out;
}

export function posts(layers: Layers, view: View, width: number, at: Frame): Post[] {
  const out: Post[] = [];
  const add = (list: readonly Activity[], layer: Layer): void => {
    for (const activity of list) {
      if (!activity.lanes.includes('EV1') || !activity.lanes.includes('EV2')) continue;
      for (const [which, moment] of [['start', activity.start_s], ['end', activity.start_s + activity.duration_s]] as const) {
        const x = xOf(view, width, moment);
        if (x >= 0 && x <= width)
          out.push({ key: `${layer} ${which} ${activity.start_s} ${activity.label ?? activity.kind}`, layer, x, y: at.railY, height: at.railHeight });
      }
    }
  };
  add(layers.done, 'done');
  add(layers.ahead, 'ahead');
  return out;
}

/** Where a condition does not hold, between the windows known for the whole station; null when nothing is known. */
export function gaps(windows: readonly Window[], condition: string, bounds: View): { from: PetSeconds; to: PetSeconds }[] | null {
  const known = windows.filter((w) => w.condition === condition && w.worksite === '').sort((a, b) => a.from_s - b.from_s);
  if (known.length === 0) return null;
  const out: { from: PetSeconds; to: PetSeconds }[] = [];
  let at: number = bounds.from;
  for (const window of known) {
    if (window.from_s > at) out.push({ from: pet(at), to: pet(Math.min(window.from_s, bounds.to)) });
    at = Math.max(at, window.to_s);
  }
  if (at < bounds.to) out.push({ from: pet(at), to: bounds.to });
  return out.filter((g) => g.to > g.from);
}

export function bands(list: readonly { from: PetSeconds; to: PetSeconds }[], view: View, width: number, words: string): Band[] {
  const out: Band[] = [];
  for (const { from, to } of list) {
    const x = Math.max(0, xOf(view, width, from));
    const end = Math.min(width, xOf(view, width, to));
    if (end <= x) continue;
    out.push({ key: `${words} ${from}`, x, width: end - x, label: (end - x) / pixelsPerLetter > words.length + 1 ? words : '' });
  }
  return out;
}

/** The block at a point: what was or will be done before what was planned. */
export function hit(list: readonly Block[], x: number, y: number): Block | null {
  const under = list.filter((one) => x >= one.x - 1 && x <= one.x + Math.max(one.width, 4) && y >= one.y && y <= one.y + one.height);
  return under.findLast((one) => one.layer !== 'plan') ?? under.at(-1) ?? null;
}
