/** Seconds since PET zero; negative before it. A bare number does not fit where one of these is wanted. */
export type PetSeconds = number & { readonly unit: 'PET s' };
/** A length of time in seconds. */
export type Seconds = number & { readonly unit: 's' };
/** A UTC instant in milliseconds since 1970. */
export type UtcMs = number & { readonly unit: 'UTC ms' };

export const pet = (s: number): PetSeconds => s as PetSeconds;
export const seconds = (s: number): Seconds => s as Seconds;
export const utcMs = (ms: number): UtcMs => ms as UtcMs;

const two = (n: number): string => String(n).padStart(2, '0');

/** "02:40", "−00:30" before PET zero; rounded down to the minute. */
export function printPet(at: PetSeconds): string {
  const minutes = Math.floor(at / 60);
  const m = Math.abs(minutes);
  return `${minutes < 0 ? '−' : ''}${two(Math.floor(m / 60))}:${two(m % 60)}`;
}

/** "02:40:05"; "−12 d 05 h" when the outing is days away. */
export function printPetSeconds(at: PetSeconds): string {
  const whole = Math.floor(at);
  const s = Math.abs(whole);
  if (s >= 100 * 3600) return `${whole < 0 ? '−' : ''}${Math.floor(s / 86400)} d ${two(Math.floor(s / 3600) % 24)} h`;
  return `${whole < 0 ? '−' : ''}${two(Math.floor(s / 3600))}:${two(Math.floor(s / 60) % 60)}:${two(s % 60)}`;
}

/** "1 h 25 min", "12 min", "40 s" under a minute. Without a sign. */
export function printDuration(length: Seconds): string {
  const s = Math.round(Math.abs(length));
  if (s < 60) return `${s} s`;
  const minutes = Math.round(s / 60);
  const h = Math.floor(minutes / 60);
  const m = minutes % 60;
  if (h === 0) return `${m} min`;
  return m === 0 ? `${h} h` : `${h} h ${m} min`;
}

/**
 * By how much `a` is later than `b`, in whole minutes, as a reader finds it who subtracts the clocks beside it (both rounded
 * down by printPet). Every sentence that gives such a difference in minutes takes it from here.
 */
export const byTheClock = (a: PetSeconds, b: PetSeconds): Seconds => seconds((Math.floor(a / 60) - Math.floor(b / 60)) * 60);

/** What is left until `end`, by the clock; under a minute to the second, so that a little too late never reads as nothing. */
export const leftByTheClock = (end: PetSeconds, at: PetSeconds): Seconds => (Math.abs(end - at) < 60 ? seconds(end - at) : byTheClock(end, at));

/** A countdown a person can watch: "1 h 25 min" far away, "12 min", then "4:05" below ten minutes. */
export function printCountdown(length: Seconds): string {
  const s = Math.max(0, Math.floor(length));
  if (s >= 600) return printDuration(seconds(Math.floor(s / 60) * 60));
  return `${Math.floor(s / 60)}:${two(s % 60)}`;
}

/** "09:28:20" */
export const printClock = (at: UtcMs): string => new Date(at).toISOString().slice(11, 19);
/** "2031-04-05" */
export const printDate = (at: UtcMs): string => new Date(at).toISOString().slice(0, 10);
export const parseUtc = (text: string): UtcMs => utcMs(Date.parse(text));
/** The two clocks meet only here. */
export const petAt = (at: UtcMs, petZero: UtcMs): PetSeconds => pet((at - petZero) / 1000);
