/** One time heard from the server, in ms: what it said, and what our own steady clock showed when it arrived. */
export interface Heard {
  readonly server: number;
  readonly local: number;
}

const kept = 30;

export function remember(heard: readonly Heard[], one: Heard): readonly Heard[] {
  return [...heard.slice(-(kept - 1)), one];
}

/**
 * What to add to our steady clock to get the server's. A message can only arrive late, so the one that says most was
 * under way the shortest. Older ones count less: two clocks drift apart by up to 0.1 ms a second (common practice
 * for quartz).
 */
export function offset(heard: readonly Heard[]): number | null {
  const newest = heard.at(-1);
  if (!newest) return null;
  return Math.max(...heard.map((one) => one.server - one.local - 1e-4 * (newest.local - one.local)));
}

/** Heartbeats come every two seconds; after this long without one the page is stale and must say so. */
export const staleAfterMs = 4500;

export const isStale = (heardAt: number, now: number): boolean => now - heardAt > staleAfterMs;
