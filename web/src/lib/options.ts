// The ways on, made comparable: each against carrying on. Pure.
import { percent } from './decision';
import type { Option, Options, Status } from './types';
import { byTheClock, leftByTheClock, pet, printDuration, printPet, type Seconds, seconds } from './units';

export interface Card {
  readonly option: Option;
  readonly first: boolean; // carrying on: what the others are measured against
  readonly earlier: Seconds; // inside so many minutes earlier than by carrying on, by the clock; negative: later
  readonly toLimit: Seconds;
  readonly value: number; // against carrying on
  readonly leaves: readonly { readonly name: string; readonly required: boolean; readonly onPurpose: boolean }[];
}

export function cards(options: Options, status: Status): Card[] {
  const base = options.options[0];
  const names = new Map(status.tasks.map((task) => [task.id, task.name]));
  const all = options.options.map((option) => ({
    option,
    first: option === base,
    earlier: byTheClock(pet(base?.finish_pet_s ?? option.finish_pet_s), pet(option.finish_pet_s)),
    toLimit: leftByTheClock(pet(status.finish.limit_pet_s), pet(option.finish_pet_s)),
    value: option.value - (base?.value ?? option.value),
    leaves: option.left.map((id) => ({
      name: names.get(id) ?? id,
      required: option.required_left.includes(id),
      onPurpose: option.dropped.includes(id),
    })),
  }));
  // Carrying on stays first; then what keeps every rule and every required task, most value first; then the rest.
  const [first, ...others] = all;
  if (!first) return [];
  const rank = (card: Card): number => (soundness(card) === 'keeps' ? 0 : soundness(card) === 'leaves' ? 1 : 2);
  return [first, ...others.sort((a, b) => rank(a) - rank(b) || b.option.value - a.option.value)];
}

/** keeps: every rule and every required task. leaves: every rule, but not every required task. breaks: a rule. */
export function soundness(card: Card): 'keeps' | 'leaves' | 'breaks' {
  if (card.option.findings.length) return 'breaks';
  return card.leaves.some((task) => task.required) ? 'leaves' : 'keeps';
}

/** "20 min earlier", "5 min later", "the same time" */
export function earlierWords(earlier: Seconds): string {
  if (earlier === 0) return 'the same time';
  return `${printDuration(earlier)} ${earlier > 0 ? 'earlier' : 'later'}`;
}

/** What adopting this means, a sentence each, hardest first. */
export function consequences(card: Card): string[] {
  const { option } = card;
  const out: string[] = [];
  const required = card.leaves.filter((task) => task.required);
  const others = card.leaves.filter((task) => !task.required);
  if (required.length) out.push(`Required and not done: ${required.map((task) => task.name).join(', ')}.`);
  const [broken, ...more] = option.findings;
  if (broken) out.push(`${more.length ? `${more.length + 1} rules will be broken, the first of them` : 'A rule will be broken'}: ${broken.what}`);
  if (others.length) out.push(`Not done in this outing: ${others.map((task) => task.name).join(', ')}.`);
  out.push(`Both inside at PET ${printPet(pet(option.finish_pet_s))}${card.first ? '' : `, ${earlierWords(card.earlier)} ${card.earlier === 0 ? 'as' : 'than'} by carrying on`}.`);
  if (option.tightest)
    out.push(
      option.tightest.margin_min > 0
        ? `Tightest margin: ${option.tightest.words}, ${printDuration(seconds(option.tightest.margin_min * 60))}.`
        : `No margin: ${option.tightest.words} is short by ${printDuration(seconds(-option.tightest.margin_min * 60))}.`,
    );
  if (option.odds) out.push(`Odds: all required work ${percent(option.odds.required_done)}, home in time with reserves ${percent(option.odds.in_time_with_reserves)}.`);
  const down = option.stand_down;
  if (down) {
    const open = down.open.filter((one) => !one.closed_on_the_way).map((one) => one.worksite.name);
    const lost = down.outside.filter((one) => one.must_return && !one.comes_in).map((one) => one.item.name);
    if (open.length) out.push(`Left open: ${open.join(', ')}.`);
    if (lost.length) out.push(`Left outside though it must come back: ${lost.join(', ')}.`);
    out.push(`It is written as “${down.line}”, without a reason: the day is called off for everyone at once. Taking the entry back (U) undoes that.`);
    return out;
  }
  out.push('It becomes the plan for everyone at once. The plan before it stays in the record; taking the entry back (U) brings it back into force.');
  return out;
}
