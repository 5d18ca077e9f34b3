// Where the crew and the arm are right now, by the status. Pure.
import type { Activity, CrewState, Status } from '../lib/types';
import { alongPath, placeAt, type Scene, siteAt, type Vec } from './scene';

export interface Standing {
  readonly id: CrewState['id'];
  readonly at: Vec | null;
  readonly site: string | null;
  readonly anchor: string | null;
}

/** The way a crew member is on: what runs on their lane and leads somewhere. */
function way(status: Pick<Status, 'as_run'>, id: string): Activity | undefined {
  return status.as_run.find((one) => one.status === 'running' && one.path.length > 1 && one.lanes.some((lane) => lane === id));
}

/** Both crew members; nobody inside is drawn with a tether. */
export function crewNow(scene: Scene, status: Pick<Status, 'as_run' | 'crew'>, now: number): Standing[] {
  return status.crew.map((person) => {
    const on = way(status, person.id);
    const share = on ? (now - on.start_s) / Math.max(1, on.duration_s) : 1;
    const moving = on !== undefined && share < 1;
    const site = moving ? null : (person.at?.id ?? null);
    const at = moving ? alongPath(scene, on.path, share) : siteAt(scene, site);
    return { id: person.id, at, site, anchor: person.outside ? (person.anchor?.id ?? null) : null };
  });
}

export const armNow = (scene: Scene, status: Pick<Status, 'as_run'>, now: number): Vec | null =>
  scene.arm ? placeAt(scene, status.as_run, 'arm', now).at : null;

/** How many items lie or are fitted at each worksite. */
export function itemCounts(status: Pick<Status, 'items'>): Record<string, number> {
  const counts: Record<string, number> = {};
  for (const item of status.items)
    if (item.place !== null && (item.where === 'loose' || item.where === 'installed')) counts[item.place] = (counts[item.place] ?? 0) + 1;
  return counts;
}
