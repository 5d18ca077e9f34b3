// What the status will be once our own lines that are still on their way are in it: the next key builds on the last one,
// not on the server's answer to it. Pure; only the keys and their buttons use it, nothing that is shown as a fact.
import type { CrewId, CrewState, Status } from './types';

const stepLine = /^(?:(EV[12])\s+)?(started|finished|skip)\s+(\S+)/i;
const phaseAfter: Readonly<Record<string, Status['phase']>> = {
  'suit-up': 'suit_up', prebreathe: 'prebreathe', depress: 'depress',
  'pet zero': 'egress', 'egress done': 'work', 'clean-up': 'clean_up', ingress: 'ingress', 'ingress done': 'repress', 'repress done': 'post',
};

/** `lines`: written or queued here, not yet in the status, oldest first. */
export function believed(status: Status, lines: readonly string[]): Status {
  return lines.reduce(withLine, status);
}

function withLine(status: Status, typed: string): Status {
  const line = typed.trim();
  const step = stepLine.exec(line);
  if (step) return withStep(status, (step[1]?.toUpperCase() as CrewId | undefined) ?? null, step[2]?.toLowerCase() ?? '', step[3] ?? '');
  const phase = phaseAfter[line.toLowerCase()];
  if (phase) return { ...status, phase, pet_running: status.pet_running || !['suit_up', 'prebreathe', 'depress'].includes(phase) };
  if (/^resume\b/i.test(line)) return { ...status, hold: null };
  if (/^hold\b/i.test(line) && !status.hold) return { ...status, hold: { since_pet_s: status.pet_s, utc: status.utc, words: '', reason: null } };
  return status;
}

function withStep(status: Status, crew: CrewId | null, verb: string, label: string): Status {
  const activity = status.forecast.activities.find((one) => one.label === label);
  const forecast = { ...status.forecast, activities: status.forecast.activities.filter((one) => one.label !== label) };
  const change = (which: (person: CrewState) => boolean, now: (person: CrewState) => CrewState['now']): CrewState[] =>
    status.crew.map((person) => (which(person) ? { ...person, now: now(person) } : person));
  if (verb !== 'started') return { ...status, forecast, crew: change((person) => person.now?.label === label, () => null) };
  const doing = (person: CrewState): boolean => (activity ? activity.lanes.includes(person.id) : person.id === crew || person.now?.label === label);
  return {
    ...status,
    forecast,
    crew: change(doing, (person) =>
      person.now?.label === label
        ? { ...person.now, assumed: false }
        : {
            kind: 'step', label, title: activity?.title ?? label, task: activity?.task ?? null, place: activity?.place ?? null, place_name: null, assumed: false,
            started_pet_s: status.pet_s, planned_start_pet_s: null, planned_end_pet_s: null, expected_end_pet_s: status.pet_s + (activity?.duration_s ?? 0), words: '',
          }),
  };
}
