// The light on the station: what the server worked out, asked for a place and a moment. Pure.
import type { components } from '../lib/schema';
import { type Vec, vec } from './scene';

export type Light = components['schemas']['Light'];
/** Sunlit; in the shadow of the station or facing away; behind the Earth; nobody knows. */
export type LightState = 'sun' | 'shade' | 'night' | 'unknown';
export const lightSign: Record<LightState, string> = { sun: '☼', shade: '◐', night: '☾', unknown: '?' };
export const lightWords: Record<LightState, string> = {
  sun: 'in sunlight',
  shade: 'in the station’s shadow',
  night: 'in the Earth’s shadow',
  unknown: 'light not known',
};

type Spans = readonly (readonly number[])[];
const inside = (spans: Spans, t: number): boolean => spans.some((span) => (span[0] ?? 0) <= t && t < (span[1] ?? 0));

/** The station as a whole: never 'shade'. */
export function stationLight(light: Light | null, t: number): LightState {
  if (!light?.daylight) return 'unknown';
  return inside(light.daylight, t) ? 'sun' : 'night';
}
/** A worksite whose own light nobody knows has the station's. */
export function siteLight(light: Light | null, site: string, t: number): LightState {
  const station = stationLight(light, t);
  const own = light?.sites[site];
  return station !== 'sun' || !own ? station : inside(own.lit, t) ? 'sun' : 'shade';
}
/** When the station's light changes next. */
export function nextChange(light: Light | null, t: number): number | null {
  const edges = (light?.daylight ?? []).flat().filter((edge) => edge > t);
  return edges.length ? Math.min(...edges) : null;
}

export interface LightSpan {
  readonly from_s: number;
  readonly to_s: number;
  readonly state: LightState;
  readonly glare: boolean;
}
/** A worksite's light through [from, to), in order and without holes; empty where nothing is known. */
export function lightTable(light: Light | null, site: string, from_s: number, to_s: number): LightSpan[] {
  if (!light?.daylight || from_s >= to_s) return [];
  const own = light.sites[site];
  const glare = own?.glare ?? [];
  const cuts = [from_s, ...[light.daylight, own?.lit ?? [], glare].flat(2).filter((t) => from_s < t && t < to_s), to_s];
  const edges = [...new Set(cuts)].sort((a, b) => a - b);
  const table: LightSpan[] = [];
  for (const [i, to] of edges.slice(1).entries()) {
    const from = edges[i] ?? to;
    const span = { from_s: from, to_s: to, state: siteLight(light, site, from), glare: inside(glare, from) };
    const before = table.at(-1);
    if (before?.state === span.state && before.glare === span.glare) table[table.length - 1] = { ...before, to_s: to };
    else table.push(span);
  }
  return table;
}

/** The direction to the sun in the station frame, turned evenly from one sample to the next; null beyond them. */
export function sunAt(light: Light | null, t: number): Vec | null {
  const sun = light?.sun;
  if (!sun) return null;
  const position = (t - sun.from_s) / sun.step_s;
  const i = Math.floor(position);
  const sample = (n: number): Vec => vec(sun.toward.slice(3 * n, 3 * n + 3));
  if (i < 0 || 3 * (i + 2) > sun.toward.length) return null;
  return turn(sample(i), sample(i + 1), position - i);
}

function turn(a: Vec, b: Vec, share: number): Vec {
  const angle = Math.acos(Math.min(1, Math.max(-1, a[0] * b[0] + a[1] * b[1] + a[2] * b[2])));
  if (angle < 1e-6) return a;
  const wa = Math.sin((1 - share) * angle) / Math.sin(angle);
  const wb = Math.sin(share * angle) / Math.sin(angle);
  return [a[0] * wa + b[0] * wb, a[1] * wa + b[1] * wb, a[2] * wa + b[2] * wb];
}
