// Standing down, as a checklist: who does what next, what stays open, what is still outside. Pure.
import type { Status } from './types';

export type StandDown = NonNullable<Status['stand_down']>;
export type HomeStep = NonNullable<StandDown['steps']>[number];
export const kinds: Readonly<Record<StandDown['kind'], string>> = { scrub: 'Scrubbed', terminate: 'Terminated: coming in, in order', abort: 'Aborted: coming in at once' };

/** What a stand-down and an option that is one have in common. */
export type WayHome = Pick<StandDown, 'steps' | 'open' | 'outside'>;

export interface CheckRow extends HomeStep {
  /** the first thing each of the people it is for has still to do */
  readonly next: boolean;
}
/** The steps with the next one of each lane marked; "both" is next only when neither has anything before it. */
export function checklist(down: WayHome): CheckRow[] {
  const busy = new Set<string>();
  return (down.steps ?? []).map((step) => {
    if (step.done) return { ...step, next: false };
    const lanes = step.who === 'both' ? ['EV1', 'EV2'] : [step.who];
    const next = lanes.every((lane) => !busy.has(lane));
    for (const lane of lanes) busy.add(lane);
    return { ...step, next };
  });
}
export const remaining = (down: StandDown): number => (down.steps ?? []).filter((step) => !step.done).length;
