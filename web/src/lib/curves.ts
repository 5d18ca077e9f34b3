// From the course of a suit to the columns a chart is drawn from. Pure.
import type { SuitCurves } from './types';

export type Curve = SuitCurves['crew'][number]['consumables'][number];

/** x, low, high, planned, believed so far, forecast, readings taken into account, readings set aside: later is on top. */
export type Columns = [number[], ...(number | null)[][]];

/** Between two points of a course things change evenly; outside it there is nothing. */
function at(pets: readonly number[], values: readonly number[], pet: number): number | null {
  const last = pets.length - 1;
  if (last < 0 || pet < (pets[0] ?? 0) || pet > (pets[last] ?? 0)) return null;
  let i = pets.findLastIndex((one) => one <= pet);
  if (i === last) return values[last] ?? null;
  i = Math.max(0, i);
  const [a, b, from, to] = [pets[i] ?? 0, pets[i + 1] ?? 0, values[i] ?? 0, values[i + 1] ?? 0];
  return b === a ? to : from + ((to - from) * (pet - a)) / (b - a);
}

/** A course steps where a reading changed what is believed: two points at one moment, kept in their order. */
export function columns(curve: Curve, now: number): Columns {
  const { course, planned, readings } = curve;
  const rows: { pet: number; left: number | null; low: number | null; high: number | null; read: number | null; unread: number | null }[] = course.pet_s.map((pet, i) => ({
    pet, left: course.left[i] ?? null, low: course.low[i] ?? null, high: course.high[i] ?? null, read: null, unread: null,
  }));
  const within = (pet: number) => ({ pet, left: at(course.pet_s, course.left, pet), low: at(course.pet_s, course.low, pet), high: at(course.pet_s, course.high, pet) });
  for (const reading of readings) rows.push({ ...within(reading.pet_s), read: reading.used ? reading.left : null, unread: reading.used ? null : reading.left });
  for (const pet of [now, ...planned.pet_s]) rows.push({ ...within(pet), read: null, unread: null });
  rows.sort((a, b) => a.pet - b.pet);
  return [
    rows.map((row) => row.pet),
    rows.map((row) => row.low),
    rows.map((row) => row.high),
    rows.map((row) => at(planned.pet_s, planned.left, row.pet)),
    rows.map((row) => (row.pet <= now ? row.left : null)),
    rows.map((row) => (row.pet >= now ? row.left : null)),
    rows.map((row) => row.read),
    rows.map((row) => row.unread),
  ];
}
