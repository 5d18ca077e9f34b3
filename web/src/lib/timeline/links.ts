// What joins blocks or stands between them: waits on a lane, one crew member handing on to the other. Pure.
import type { Activity, Lane, Outing } from '../types';
import { pet, type PetSeconds, type Seconds, seconds } from '../units';

export interface Wait {
  readonly lane: Lane;
  readonly from: PetSeconds;
  readonly length: Seconds;
}
/** Shorter pauses are how work is done, not waits. */
const shortestWait = 120;

/** The times between `from` and the last activity in which a crew member has nothing planned. */
export function waits(list: readonly Activity[], lane: Lane, from: number): Wait[] {
  const own = list.filter((one) => one.lanes.includes(lane)).sort((a, b) => a.start_s - b.start_s);
  const out: Wait[] = [];
  let at = from;
  for (const one of own) {
    if (one.start_s - at >= shortestWait) out.push({ lane, from: pet(at), length: seconds(one.start_s - at) });
    at = Math.max(at, one.start_s + one.duration_s);
  }
  return out;
}

export interface Link {
  readonly from: Lane;
  readonly to: Lane;
  readonly start: PetSeconds; // the earlier step ends
  readonly end: PetSeconds; // the later one begins
}
const crew = (one: Activity): Lane[] => one.lanes.filter((lane) => lane === 'EV1' || lane === 'EV2');

/** Where a task goes over from one crew member to the other: the next step of it is done by somebody else alone. */
export function handOvers(list: readonly Activity[], outing: Pick<Outing, 'steps'> | null): Link[] {
  if (!outing) return [];
  const placed = new Map(list.flatMap((one) => (one.label === null ? [] : [[one.label, one] as const])));
  const out: Link[] = [];
  let before = null as { task: string; activity: Activity } | null;
  for (const step of outing.steps) {
    const activity = placed.get(step.label);
    if (!activity || crew(activity).length === 0) continue;
    if (before?.task === step.task) {
      const [from, ...more] = crew(before.activity);
      const [to, ...others] = crew(activity);
      const start = before.activity.start_s + before.activity.duration_s;
      if (from && to && from !== to && !more.length && !others.length && activity.start_s >= start)
        out.push({ from, to, start: pet(start), end: pet(activity.start_s) });
    }
    before = { task: step.task, activity };
  }
  return out;
}
