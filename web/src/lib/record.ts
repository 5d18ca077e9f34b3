// Which entries of the record each filter shows. Pure.
import type { RecordEntry } from './types';

const kinds = {
  steps: ['step_started', 'step_finished', 'step_skipped', 'step_undone', 'step_delayed'],
  plan: [
    'outing_opened', 'pet_zero', 'pet_zero_expected', 'phase', 'hold', 'resume', 'decision', 'plan_adopted', 'task_dropped', 'crew_able', 'crew_inside', 'arm_available',
    'stand_down', 'condition', 'worksite', 'item_replaced',
  ],
  readings: ['suit_reading', 'gloves_checked', 'oxygen'],
  notes: ['note', 'decision'],
} as const;

export type Filter = 'all' | keyof typeof kinds;
export const filters: readonly Filter[] = ['all', 'steps', 'plan', 'readings', 'notes'];

/** `words`: what must stand in it, or in its author's name or number; "" for anything. */
export function passes(entry: RecordEntry, filter: Filter, words: string): boolean {
  const sought = words.trim().toLowerCase();
  const kind: readonly string[] | null = filter === 'all' ? null : kinds[filter];
  return (kind === null || kind.includes(entry.kind)) && (sought === '' || `${entry.words} ${entry.author} #${entry.position}`.toLowerCase().includes(sought));
}

/** Whether that crew member breathes from the suit's supply, by the last entry about it. */
export function offOxygen(record: readonly RecordEntry[], crew: string): boolean {
  const last = record.findLast((entry) => entry.kind === 'oxygen' && !entry.struck && entry.words.startsWith(crew));
  return last !== undefined && last.words.startsWith(`${crew} off`);
}
