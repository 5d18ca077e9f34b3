import { describe, expect, it } from 'vitest';
import { byTheClock, leftByTheClock, parseUtc, pet, petAt, printCountdown, printDuration, printPet, printPetSeconds, seconds } from './units';

describe('PET', () => {
  it('prints hours and minutes, rounded down', () => {
    expect(printPet(pet(0))).toBe('00:00');
    expect(printPet(pet(9659))).toBe('02:40');
    expect(printPet(pet(36000))).toBe('10:00');
  });
  it('prints a minus before PET zero and still rounds down', () => {
    expect(printPet(pet(-1800))).toBe('−00:30');
    expect(printPet(pet(-1))).toBe('−00:01');
  });
  it('prints seconds', () => {
    expect(printPetSeconds(pet(9605))).toBe('02:40:05');
    expect(printPetSeconds(pet(-61.5))).toBe('−00:01:02');
    expect(printPetSeconds(pet(59.9))).toBe('00:00:59');
    expect(printPetSeconds(pet(-(12 * 86400 + 5 * 3600)))).toBe('−12 d 05 h');
  });
  it('is UTC since PET zero', () => {
    expect(petAt(parseUtc('2031-04-05T09:28:20Z'), parseUtc('2031-04-05T08:30:00Z'))).toBe(3500);
  });
});

describe('durations', () => {
  it('print in the unit a person would say', () => {
    expect(printDuration(seconds(0))).toBe('0 s');
    expect(printDuration(seconds(59))).toBe('59 s');
    expect(printDuration(seconds(90))).toBe('2 min');
    expect(printDuration(seconds(3600))).toBe('1 h');
    expect(printDuration(seconds(5100))).toBe('1 h 25 min');
    expect(printDuration(seconds(3599))).toBe('1 h');
    expect(printDuration(seconds(-240))).toBe('4 min');
  });
  it('count down to the second below ten minutes and never below zero', () => {
    expect(printCountdown(seconds(5159))).toBe('1 h 25 min');
    expect(printCountdown(seconds(599))).toBe('9:59');
    expect(printCountdown(seconds(65))).toBe('1:05');
    expect(printCountdown(seconds(-3))).toBe('0:00');
  });
});

describe('a difference of two moments', () => {
  it('is that of their clocks, whatever the seconds', () => {
    const clock = (s: number): number => {
      const [, sign, h, m] = /^(−?)(\d+):(\d+)$/.exec(printPet(pet(s)))!;
      return (sign ? -1 : 1) * (Number(h) * 60 + Number(m)) * 60;
    };
    for (const [a, b] of [[18790, 18110], [18830, 18070], [59, -1], [60, 119], [-61, 61]] as const)
      expect(byTheClock(pet(a), pet(b))).toBe(clock(a) - clock(b));
  });
  it('is told to the second where less than a minute is left', () => {
    expect(leftByTheClock(pet(21600), pet(21640))).toBe(-40);
    expect(leftByTheClock(pet(21600), pet(21575))).toBe(25);
    expect(leftByTheClock(pet(21600), pet(20560))).toBe(18 * 60);
  });
});
