// The next decision and the odds of the day, as the first glance and the timeline need them: pure.
import type { Status } from './types';
import { pet, type PetSeconds } from './units';

/** Until when a task may be begun; `by` null: at no time that can come up, so it is to be left out now. */
export interface Decision {
  readonly task: string; // its name
  readonly by: PetSeconds | null;
  readonly planned: PetSeconds;
  readonly homeBy: PetSeconds;
}

export const taskName = (status: Pick<Status, 'tasks'>, id: string): string => status.tasks.find((one) => one.id === id)?.name ?? id;

type Gate = NonNullable<NonNullable<Status['odds']>['gate']>;
export function decision(status: Pick<Status, 'tasks' | 'odds'>): Decision | null {
  const gate = status.odds?.gate;
  return gate ? decisionOf(status, gate) : null;
}
/** Every decision still to come, the earliest deadline first. */
export const decisions = (status: Pick<Status, 'tasks' | 'odds'>): Decision[] => (status.odds?.gates ?? []).map((gate) => decisionOf(status, gate));
function decisionOf(status: Pick<Status, 'tasks'>, gate: Gate): Decision {
  return {
    task: taskName(status, gate.task),
    by: gate.begin_until_pet_s === null ? null : pet(gate.begin_until_pet_s),
    planned: pet(gate.planned_pet_s),
    homeBy: pet(gate.start_home_by_pet_s),
  };
}

/** Whole per cent; what is neither sure nor impossible never reads as 0 or 100. */
export function percent(share: number): string {
  if (share <= 0) return '0 %';
  if (share >= 1) return '100 %';
  if (share < 0.01) return 'under 1 %';
  if (share > 0.99) return 'over 99 %';
  return `${Math.round(share * 100)} %`;
}

/** none: nothing left to decide. soon: being worked out. old: of an earlier entry. */
export function oddsState(status: Pick<Status, 'odds' | 'position' | 'plan' | 'phase' | 'stand_down'>): 'none' | 'soon' | 'old' | 'current' {
  if (!status.odds) return status.plan && status.stand_down?.kind !== 'scrub' && !['ingress', 'repress', 'post', 'closed'].includes(status.phase) ? 'soon' : 'none';
  return status.odds.position < status.position ? 'old' : 'current';
}
