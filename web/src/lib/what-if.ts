// A supposition: how it is typed, and what the first glance would say then against now. Pure.
import { percent } from './decision';
import type { Status } from './types';
import { pet, printDuration, printPet, seconds } from './units';

/** What stands behind "what if" in a typed line; null when it is no supposition. */
export function supposition(typed: string): string | null {
  const found = /^what[ -]?if\b[\s:,…]*(.*)$/i.exec(typed.trim());
  return found ? (found[1] ?? '').replace(/\?$/, '').trim() : null;
}
/** "hold; slip 30 min" is two lines. */
export const linesOf = (asked: string): string[] => asked.split(';').map((line) => line.trim()).filter((line) => line !== '');

export interface Change {
  readonly words: string;
  readonly worse: boolean;
}
const at = (s: number | null): string => (s === null ? 'not known' : printPet(pet(s)));
const minutes = (m: number): string => `${m < 0 ? '−' : ''}${printDuration(seconds(Math.abs(m) * 60))}`;

/** What would differ, hardest first. */
export function changesOf(now: Status, then: Status): Change[] {
  const out: Change[] = [];
  if (!then.forecast.possible) out.push({ words: `The plan would no longer fit: ${then.forecast.reasons.join(' ')}`, worse: true });
  const broken = then.findings?.length ?? 0;
  if (broken > (now.findings?.length ?? 0)) out.push({ words: `the forecast would break ${broken === 1 ? 'a rule' : `${broken} rules`}: ${then.findings?.[0]?.what ?? ''}`, worse: true });
  const [before, after] = [now.finish.forecast_pet_s, then.finish.forecast_pet_s];
  if (then.forecast.possible && before !== after) out.push({ words: `inside ${at(after)} instead of ${at(before)}`, worse: (after ?? 0) > (before ?? 0) });
  const [tight, tighter] = [now.tightest?.margin_min ?? null, then.tightest?.margin_min ?? null];
  if (tighter !== null && (tight === null || Math.abs(tighter - tight) >= 1))
    out.push({ words: `tightest margin ${minutes(tighter)}${tight === null ? '' : ` instead of ${minutes(tight)}`}: ${then.tightest?.words ?? ''}`, worse: tight !== null && tighter < tight });
  const [home, earlier] = [now.turn_back?.terminate_pet_s ?? null, then.turn_back?.terminate_pet_s ?? null];
  if (earlier !== null && earlier !== home) out.push({ words: `turn back by ${at(earlier)} instead of ${at(home)}`, worse: home !== null && earlier < home });
  if (then.odds && now.odds && Math.abs(then.odds.required_done - now.odds.required_done) >= 0.01)
    out.push({ words: `required work ${percent(then.odds.required_done)} instead of ${percent(now.odds.required_done)}`, worse: then.odds.required_done < now.odds.required_done });
  return out;
}
