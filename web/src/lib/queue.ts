/** Entries on their way to the journal, oldest first. They are sent one at a time and in order. */
export interface Queued {
  readonly id: string;
  readonly line: string;
  readonly author: string;
  readonly at: string; // ISO 8601 UTC, when it was entered
  readonly seen: number; // newest journal position on the page then
  readonly state: 'waiting' | 'sending' | 'conflict' | 'refused';
  readonly why?: string; // for conflict and refused
}
export type Queue = readonly Queued[];

/** What came of sending the first entry. */
export type Sent =
  | { readonly kind: 'written'; readonly position: number }
  | { readonly kind: 'stale'; readonly position: number; readonly why: string }
  | { readonly kind: 'refused'; readonly why: string }
  | { readonly kind: 'unreachable' };

export const add = (queue: Queue, entry: Omit<Queued, 'state'>): Queue => [...queue, { ...entry, state: 'waiting' }];

/** The entry to send next: the first, unless it is under way or waits for a person. */
export function nextToSend(queue: Queue): Queued | null {
  const first = queue[0];
  return first?.state === 'waiting' ? first : null;
}

export const sending = (queue: Queue, id: string): Queue =>
  queue.map((entry) => (entry.id === id ? { ...entry, state: 'sending' as const } : entry));

export function settle(queue: Queue, id: string, sent: Sent): Queue {
  const entry = queue.find((one) => one.id === id);
  if (!entry) return queue;
  switch (sent.kind) {
    case 'written':
      // Nobody else wrote in between, so what was entered behind this one has, in effect, seen it.
      return queue
        .filter((one) => one.id !== id)
        .map((one) => (one.seen === entry.seen && sent.position === entry.seen + 1 ? { ...one, seen: sent.position } : one));
    case 'stale':
      return queue.map((one) => (one.id === id ? { ...one, state: 'conflict' as const, why: sent.why } : one));
    case 'refused':
      return queue.map((one) => (one.id === id ? { ...one, state: 'refused' as const, why: sent.why } : one));
    case 'unreachable':
      return queue.map((one) => (one.id === id ? { ...one, state: 'waiting' as const } : one));
  }
}

/** A person looked at the newer state (up to `seen`) and wants the entry, and those behind it, sent all the same. */
export const sendAnyway = (queue: Queue, id: string, seen: number): Queue => {
  const from = queue.findIndex((one) => one.id === id);
  return queue.map((one, i) =>
    from >= 0 && i >= from && one.state !== 'refused' ? { id: one.id, line: one.line, author: one.author, at: one.at, seen, state: 'waiting' as const } : one,
  );
};

export const drop = (queue: Queue, id: string): Queue => queue.filter((one) => one.id !== id);

/** What was kept over a reload; anything that is not a queue counts as none. */
export function restore(text: string | null): Queue {
  if (!text) return [];
  try {
    const parsed: unknown = JSON.parse(text);
    if (!Array.isArray(parsed)) return [];
    return parsed.filter(isQueued).map((entry) => ({ ...entry, state: entry.state === 'sending' ? 'waiting' : entry.state }));
  } catch {
    return [];
  }
}

function isQueued(value: unknown): value is Queued {
  if (typeof value !== 'object' || value === null) return false;
  const v = value as Record<string, unknown>;
  return ['id', 'line', 'author', 'at', 'state'].every((key) => typeof v[key] === 'string') && typeof v['seen'] === 'number';
}
