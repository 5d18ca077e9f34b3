// What the public page says, in plain words: pure functions of the feed and the moment.
import { alongPath, type Scene, siteAt, siteOf, type Vec } from '../map/scene';
import type { Feed, Person } from './feed';

/** "1 h 25 min", "12 min", "less than a minute". */
export function span(seconds: number): string {
  const minutes = Math.floor(Math.abs(seconds) / 60);
  const h = Math.floor(minutes / 60);
  if (minutes === 0) return 'less than a minute';
  if (h === 0) return `${minutes} min`;
  return minutes % 60 === 0 ? `${h} h` : `${h} h ${minutes % 60} min`;
}

const phases: Record<Feed['phase'], string> = {
  planned: 'The spacewalk has not begun yet.',
  suit_up: 'The crew are putting on their suits.',
  prebreathe: 'The crew are in their suits and breathe oxygen before they go out.',
  depress: 'The air is being let out of the airlock.',
  egress: 'The crew are on their way out.',
  work: 'The crew are at work outside.',
  clean_up: 'The work is over; the crew are gathering their tools.',
  ingress: 'The crew are going back in.',
  repress: 'The crew are inside again; the airlock is being filled with air.',
  post: 'The crew are back inside the station.',
  closed: 'The spacewalk is over.',
};
export function headline(feed: Feed): string {
  if (feed.ending === 'called_off') return 'The spacewalk does not take place today.';
  if (feed.ending === 'coming_in' && (feed.phase === 'egress' || feed.phase === 'work')) return 'The crew are on their way back in.';
  return phases[feed.phase];
}

export function clockLine(feed: Feed, pet_s: number): string {
  if (feed.phase === 'post' || feed.phase === 'closed' || feed.ending === 'called_off') return '';
  if (!feed.pet_running) return pet_s < 0 ? `It is planned to begin in ${span(pet_s)}.` : 'It is about to begin.';
  return `It began ${span(pet_s)} ago.`;
}

export const nowTitle = (person: Person): string => person.now?.title ?? (person.outside ? 'Between two jobs' : 'Inside the station');
export const placeName = (scene: Scene, id: string | null): string => siteOf(scene, id)?.name ?? '';

/** Where somebody is on the map: on their way while it lasts. */
export function standingAt(scene: Scene, person: Person, pet_s: number): { at: Vec | null; site: string | null } {
  const now = person.now;
  const share = now && now.way.length > 1 ? (pet_s - now.since_pet_s) / Math.max(1, now.way_s) : 1;
  if (now && share < 1) return { at: alongPath(scene, now.way, share), site: null };
  return { at: siteAt(scene, person.at), site: person.at };
}

export interface Progress {
  readonly done: number;
  readonly of: number;
  readonly words: string;
}
export function progress(jobs: Feed['jobs']): Progress {
  const today = jobs.filter((job) => job.progress !== 'not_today');
  const done = today.filter((job) => job.progress === 'done').length;
  return { done, of: today.length, words: today.length === 0 ? '' : `${done} of ${today.length} ${today.length === 1 ? 'job' : 'jobs'} done` };
}
export const jobSigns: Record<Feed['jobs'][number]['progress'], { sign: string; words: string }> = {
  done: { sign: '✓', words: 'done' },
  under_way: { sign: '▶', words: 'happening now' },
  partly: { sign: '◑', words: 'partly done' },
  to_come: { sign: '○', words: 'to come' },
  not_today: { sign: '–', words: 'not today' },
};

export function lightLine(sunlit: Feed['sunlit'], pet_s: number): string {
  if (!sunlit.known || sunlit.now === null) return '';
  // The change may have passed since the document came.
  const passed = sunlit.until_pet_s !== null && pet_s >= sunlit.until_pet_s;
  const day = passed ? !sunlit.now : sunlit.now;
  const left = sunlit.until_pet_s !== null && !passed ? sunlit.until_pet_s - pet_s : null;
  if (day) return left === null ? 'The station is in daylight.' : `The station is in daylight. Night comes in ${span(left)}.`;
  return left === null ? 'It is night at the station.' : `It is night at the station. The sun comes up in ${span(left)}.`;
}
