import type { Change, RecordEntry, Status } from './types';

/** The document with a change applied. A key set to null that the document may lack is simply null. */
export function applyChange(status: Status, change: Change): Status {
  const set = change.set as Partial<Status>;
  const record = mergeRecord(set.record ?? status.record, change.entries);
  return { ...status, ...set, record };
}

/** Entries by position; a later version of the same one takes its place. */
export function mergeRecord(record: readonly RecordEntry[], entries: readonly RecordEntry[]): RecordEntry[] {
  if (entries.length === 0) return [...record];
  const byPosition = new Map(record.map((entry) => [entry.position, entry]));
  for (const entry of entries) byPosition.set(entry.position, entry);
  return [...byPosition.values()].sort((a, b) => a.position - b.position);
}
