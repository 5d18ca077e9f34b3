// Where the outing stands, as the first glance needs it: pure functions of the status and the moment.
import type { Condition, CrewId, CrewState, Status } from './types';
import { pet, type PetSeconds, printPet, type Seconds, seconds } from './units';

/** Below this a difference is noise: entries are made by hand, to the minute at best. */
const onTimeWithin = 60;

export type Standing = 'ahead' | 'on time' | 'behind';
export function standing(behind: Seconds): Standing {
  if (Math.abs(behind) < onTimeWithin) return 'on time';
  return behind > 0 ? 'behind' : 'ahead';
}

/** The server says why with the labels that the record goes by; a glance wants the names of the steps. */
export function inNames(cause: string, tasks: Status['tasks']): string {
  const step = tasks.flatMap((task) => task.steps).filter((one) => cause.split(' ').includes(one.label))[0];
  return step ? cause.split(' ').map((part) => (part === step.label ? `“${step.name}”` : part)).join(' ') : cause;
}

export interface TurnBack {
  readonly crew: CrewId;
  readonly at: PetSeconds;
}
/**
 * The last moment to start home in order: the pair's where the server gives it (they come home together), else the
 * earlier of the two. Whose suit asks for it, and null when nothing is known.
 */
export function turnBack(status: Pick<Status, 'crew' | 'turn_back'>): TurnBack | null {
  const own = earlier(status.crew);
  const pair = status.turn_back?.terminate_pet_s ?? null;
  return pair === null ? own : { crew: own?.crew ?? 'EV1', at: pet(pair) };
}

function earlier(crew: readonly CrewState[]): TurnBack | null {
  let first: TurnBack | null = null;
  for (const person of crew) {
    const at = person.suit.turn_back_terminate_pet_s;
    if (at !== null && (first === null || at < first.at)) first = { crew: person.id, at: pet(at) };
  }
  return first;
}

/** How far a running activity is, 0 to 1, and by how much it is over its expected end. */
export function progress(start: PetSeconds, expectedEnd: PetSeconds, now: PetSeconds): { share: number; over: Seconds } {
  const length = Math.max(1, expectedEnd - start);
  return { share: Math.min(1, Math.max(0, (now - start) / length)), over: seconds(Math.max(0, now - expectedEnd)) };
}

/** What the light or coverage does next, from the page's own clock: the change may have passed since the status came. */
export function conditionNow(condition: Condition, now: PetSeconds): { holds: boolean | null; left: Seconds | null; at: string | null } {
  if (!condition.known || condition.now === null) return { holds: null, left: null, at: null };
  if (condition.next_pet_s === null) return { holds: condition.now, left: null, at: null };
  const next = pet(condition.next_pet_s);
  if (now >= next) return { holds: !condition.now, left: null, at: null };
  return { holds: condition.now, left: seconds(next - now), at: printPet(next) };
}

/** How urgent a margin is. The levels are ours: they only choose a word and a shape, no rule hangs on them. */
export type Urgency = 'plenty' | 'soon' | 'now';
export function urgency(left: Seconds): Urgency {
  if (left <= 0) return 'now';
  return left < 30 * 60 ? 'soon' : 'plenty';
}

/** The sentence of a phase for people. */
export const phaseWord = (phase: Status['phase']): string => (phase === 'post' ? 'over, both in' : phase.replaceAll('_', '-'));
