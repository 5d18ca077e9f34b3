// The short lines of the record, as the page writes them: one key, one line. The server judges each.
import type { Activity, CrewId, CrewState, Status } from './types';

/** A line ready to be sent, or the sentence that says why there is none. */
export type Line = { readonly line: string } | { readonly none: string };

const running = (person: CrewState) => (person.now?.label ? person.now : null);

/** The step that comes next for this crew member, after the small things on the way to it. */
export const nextStep = (status: Status, person: CrewState): Activity | undefined =>
  status.forecast.activities.find((one) => one.label !== null && one.lanes.includes(person.id));

/** "EV1 started valve.2" for the step that comes next for this crew member. */
export function startedNext(status: Status, person: CrewState): Line {
  if (running(person) && !person.now?.assumed) return { none: `${person.id} is still at ${person.now?.title}. Finish that first.` };
  // A step the forecast believes to be running is confirmed by its start.
  if (person.now?.label && person.now.assumed) return { line: `${person.id} started ${person.now.label}` };
  const next = nextStep(status, person);
  return next ? { line: `${person.id} started ${next.label}` } : { none: `Nothing is left for ${person.id} to start.` };
}

/** "finished valve.2" for the step this crew member is at. */
export function finishedNow(person: CrewState): Line {
  const now = running(person);
  return now ? { line: `finished ${now.label}` } : { none: `${person.id} is at no step. Start one first.` };
}

export const crewMember = (status: Status, id: CrewId): CrewState | undefined => status.crew.find((one) => one.id === id);

export const hold: Line = { line: 'hold' };
export const privateHold: Line = { line: 'hold private' };
export const resume: Line = { line: 'resume' };
export const strike = (position: number): string => `fix ${position} undo`;
/** Which entry such a line takes back. */
export const struckBy = (line: string): number | null => {
  const found = /^fix (\d+) undo$/.exec(line);
  return found ? Number(found[1]) : null;
};

/** What the day does next, for the one key that moves it on. */
export function nextPhase(status: Status): { line: string; words: string } | null {
  if (status.stand_down?.kind === 'scrub') return null; // the day is called off
  switch (status.phase) {
    case 'suit_up':
      return { line: 'prebreathe', words: 'Prebreathe begins' };
    case 'prebreathe':
      return { line: 'depress', words: 'Depress begins' };
    case 'planned':
    case 'depress':
      return { line: 'pet zero', words: 'PET zero: suits on battery power' };
    case 'egress':
      return status.pet_running ? { line: 'egress done', words: 'Egress done: both outside' } : { line: 'pet zero', words: 'PET zero: suits on battery power' };
    case 'work':
      return { line: 'clean-up', words: 'Clean-up begun' };
    case 'clean_up':
      return { line: 'ingress', words: 'Ingress begun' };
    case 'ingress':
      return { line: 'ingress done', words: 'Ingress done: hatch closed' };
    case 'repress':
      return { line: 'repress done', words: 'Repress done' };
    case 'post':
    case 'closed':
      return null;
  }
}

/** Completions of what has been typed so far: verbs first, then the labels that fit the verb. */
export function completions(status: Status, typed: string): string[] {
  const words = typed.split(' ');
  const verb = words[0] ?? '';
  if (words.length === 1) return verbs.filter((v) => verb !== '' && v.startsWith(verb.toLowerCase()) && v !== verb);
  const last = words.at(-1)?.toLowerCase() ?? '';
  const head = words.slice(0, -1).join(' ');
  if (verb.toLowerCase() === 'reading') return gauges(status, words, head, last);
  const labels = status.tasks.flatMap((task) =>
    task.steps.filter((step) => wanted(verb.toLowerCase(), step.status)).map((step) => step.label),
  );
  return labels
    .filter((label) => label.toLowerCase().startsWith(last) && label !== words.at(-1))
    .slice(0, 8)
    .map((label) => `${head} ${label}`);
}

/** "reading EV1 oxygen" */
function gauges(status: Status, words: readonly string[], head: string, last: string): string[] {
  const person = status.crew.find((one) => one.id === words[1]?.toUpperCase());
  const offers = words.length === 2 ? status.crew.map((one) => one.id) : words.length === 3 && person ? person.suit.consumables.map((one) => one.id) : [];
  return offers.filter((one) => one.toLowerCase().startsWith(last) && one !== words.at(-1)).map((one) => `${head} ${one}`);
}

const verbs = [
  'started', 'finished', 'skip', 'undo', 'hold', 'hold private', 'resume', 'note', 'decision', 'public', 'drop', 'fix', 'reading', 'terminate', 'abort', 'scrub', 'suit-up', 'prebreathe',
  'depress', 'pet zero', 'egress done', 'clean-up', 'ingress', 'ingress done', 'repress done', 'slip', 'arm lost', 'arm back', 'no coverage until', 'coverage back', 'hazard at', 'use', 'what if',
];

function wanted(verb: string, status: string): boolean {
  if (verb === 'started') return status === 'to_do';
  if (verb === 'finished') return status === 'running';
  if (verb === 'skip') return status === 'to_do' || status === 'running';
  if (verb === 'undo') return status === 'done' || status === 'running' || status === 'skipped';
  return false;
}
