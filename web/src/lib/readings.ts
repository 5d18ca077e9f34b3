// Entering a gauge: one key for whose suit, one for which gauge, then a number. Pure.
import type { CrewState } from './types';

export type Consumable = CrewState['suit']['consumables'][number];
export const gaugeKeys: Record<Consumable['id'], string> = { oxygen: 'o', co2: 'c', water: 'w', battery: 'b', gas: 'g' };
export const gaugeNames: Record<Consumable['id'], string> = { oxygen: 'Oxygen', co2: 'CO₂ removal', water: 'Cooling water', battery: 'Battery', gas: 'Breathing gas' };

export const gaugeFor = (person: CrewState, key: string): Consumable | undefined =>
  person.suit.consumables.find((one) => gaugeKeys[one.id] === key.toLowerCase());

export type Typed = { readonly line: string; readonly left: number } | { readonly wrong: string };
/** "0.45" in the gauge's unit, "42 %" of a full suit; a comma counts as a point. */
export function readingLine(person: CrewState, gauge: Consumable, typed: string): Typed {
  const match = /^\s*([0-9]+(?:[.,][0-9]+)?)\s*(%)?\s*$/.exec(typed);
  if (!match) return { wrong: `Type a number in ${gauge.unit}, or one with % of a full suit.` };
  const number = (match[1] ?? '').replace(',', '.');
  const percent = match[2] === '%';
  const left = percent ? (Number(number) / 100) * gauge.capacity : Number(number);
  return { line: `reading ${person.id} ${gauge.id} ${number} ${percent ? '%' : gauge.unit}`, left };
}

/** What to look at again before it is written; empty when it fits what is believed. */
export function doubt(gauge: Consumable, left: number): string {
  if (left > gauge.capacity * 1.02) return `more than a full suit holds (${gauge.capacity} ${gauge.unit})`;
  if (left > gauge.left + gauge.capacity * 0.05) return 'more than is believed to be left';
  if (left < gauge.left - gauge.capacity * 0.15) return 'far less than is believed to be left';
  return '';
}
