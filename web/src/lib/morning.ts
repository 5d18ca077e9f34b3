// The hours before PET zero, as the page shows them: each step with its slip, and what may be logged next. Pure.
import type { Status } from './types';
import { parseUtc, type Seconds, seconds, type UtcMs } from './units';

export type Morning = NonNullable<Status['morning']>;
export interface MorningRow {
  readonly name: string;
  readonly state: 'done' | 'next' | 'later';
  readonly planned: UtcMs | null;
  readonly begins: UtcMs | null; // as it went, or as it will by now
  readonly slip: Seconds; // later than planned; 0 where either is not known
  readonly line: string; // what logs that it begins
}
const lineOf: Readonly<Record<string, string>> = { 'suit-up': 'suit-up', prebreathe: 'prebreathe', depress: 'depress', 'PET zero': 'pet zero' };

export function rows(morning: Morning): MorningRow[] {
  const next = morning.steps.findIndex((step, i) => !step.begun && !morning.steps.slice(i + 1).some((later) => later.begun));
  return morning.steps.map((step, i) => {
    const planned = step.planned === null ? null : parseUtc(step.planned);
    const begins = step.begins === null ? null : parseUtc(step.begins);
    return {
      name: step.name, planned, begins,
      state: step.begun ? 'done' : i === next ? 'next' : 'later',
      slip: seconds(planned === null || begins === null ? 0 : (begins - planned) / 1000),
      line: lineOf[step.name] ?? step.name,
    };
  });
}

/** What must be seen at once about it, hardest first. */
export function warnings(morning: Morning): { words: 'early' | 'trouble'; amount: Seconds; text: string }[] {
  const out: { words: 'early' | 'trouble'; amount: Seconds; text: string }[] = [];
  if (morning.early_depress_s > 0) out.push({ words: 'early', amount: seconds(morning.early_depress_s), text: '' });
  if (morning.trouble) out.push({ words: 'trouble', amount: seconds(0), text: morning.trouble });
  return out;
}
