import { describe, expect, it } from 'vitest';
import { example } from './example';
import { doubt, gaugeFor, gaugeKeys, readingLine } from './readings';

const person = example.crew[0]!;
const oxygen = gaugeFor(person, 'o')!;

describe('a reading', () => {
  it('has one key for each gauge', () => {
    expect(new Set(Object.values(gaugeKeys)).size).toBe(5);
    expect(gaugeFor(person, 'O')).toBe(oxygen);
    expect(gaugeFor(person, 'x')).toBeUndefined();
  });
  it('is a number in the gauge’s unit, or a share of a full suit', () => {
    expect(readingLine(person, oxygen, '0,45')).toEqual({ line: 'reading EV1 oxygen 0.45 kg', left: 0.45 });
    expect(readingLine(person, oxygen, ' 50 % ')).toEqual({ line: 'reading EV1 oxygen 50 %', left: oxygen.capacity / 2 });
    expect(readingLine(person, oxygen, 'half')).toHaveProperty('wrong');
    expect(readingLine(person, oxygen, '')).toHaveProperty('wrong');
  });
  it('is doubted when it cannot be or hardly can', () => {
    expect(doubt(oxygen, oxygen.left)).toBe('');
    expect(doubt(oxygen, oxygen.capacity * 2)).toContain('full suit');
    expect(doubt(oxygen, Math.max(0, oxygen.left - oxygen.capacity * 0.3))).toContain('far less');
  });
});
