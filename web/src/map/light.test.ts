import { describe, expect, it } from 'vitest';
import { type Light, lightTable, nextChange, siteLight, stationLight, sunAt } from './light';

const light: Light = {
  pet_zero: '2031-04-05T08:30:00Z',
  daylight: [[0, 1000], [3000, 6000]],
  sites: { rail: { lit: [[0, 400], [3000, 6000]], glare: [[3000, 3100]] } },
  sun: { from_s: 0, step_s: 100, toward: [1, 0, 0, 0, 1, 0, 0, 1, 0] },
};

describe('light', () => {
  it('of the station is day, night, or unknown', () => {
    expect(stationLight(light, 999)).toBe('sun');
    expect(stationLight(light, 1000)).toBe('night');
    expect(stationLight(null, 0)).toBe('unknown');
    expect(stationLight({ ...light, daylight: null }, 0)).toBe('unknown');
    expect(nextChange(light, 500)).toBe(1000);
    expect(nextChange(light, 7000)).toBeNull();
  });
  it('of a worksite knows the station’s own shadow', () => {
    expect(siteLight(light, 'rail', 100)).toBe('sun');
    expect(siteLight(light, 'rail', 500)).toBe('shade');
    expect(siteLight(light, 'rail', 2000)).toBe('night');
  });
  it('of a worksite whose own light nobody knows is the station’s', () => {
    expect(siteLight(light, 'elsewhere', 500)).toBe('sun');
  });
  it('as a table has no holes and joins what is alike', () => {
    expect(lightTable(light, 'rail', 0, 6000)).toEqual([
      { from_s: 0, to_s: 400, state: 'sun', glare: false },
      { from_s: 400, to_s: 1000, state: 'shade', glare: false },
      { from_s: 1000, to_s: 3000, state: 'night', glare: false },
      { from_s: 3000, to_s: 3100, state: 'sun', glare: true },
      { from_s: 3100, to_s: 6000, state: 'sun', glare: false },
    ]);
    expect(lightTable(light, 'rail', 500, 500)).toEqual([]);
    expect(lightTable(null, 'rail', 0, 100)).toEqual([]);
  });
});

describe('the sun', () => {
  it('turns evenly between two samples and stays a direction', () => {
    const half = sunAt(light, 50)!;
    expect(half[0]).toBeCloseTo(Math.SQRT1_2);
    expect(half[1]).toBeCloseTo(Math.SQRT1_2);
    expect(sunAt(light, 150)).toEqual([0, 1, 0]);
  });
  it('is unknown before the first sample, after the last and without an orbit', () => {
    expect(sunAt(light, -1)).toBeNull();
    expect(sunAt(light, 200)).toBeNull();
    expect(sunAt({ ...light, sun: null }, 50)).toBeNull();
  });
});
