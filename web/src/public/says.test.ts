import { describe, expect, it } from 'vitest';
import { yard } from '../map/invented';
import type { Feed, Person } from './feed';
import { clockLine, headline, lightLine, nowTitle, progress, span, standingAt } from './says';

const feed = (part: Partial<Feed>) => ({ phase: 'work', pet_running: true, ...part }) as Feed;
const job = (progress: Feed['jobs'][number]['progress']) => ({ name: '', why: '', progress });

describe('what the public page says', () => {
  it('a length of time in plain words', () => {
    expect([span(20), span(60), span(3600), span(5100)]).toEqual(['less than a minute', '1 min', '1 h', '1 h 25 min']);
  });
  it('how long ago it began, or in how long it is planned to', () => {
    expect(clockLine(feed({}), 5100)).toBe('It began 1 h 25 min ago.');
    expect(clockLine(feed({ pet_running: false }), -3600)).toBe('It is planned to begin in 1 h.');
    expect(clockLine(feed({ pet_running: false }), 30)).toBe('It is about to begin.');
    expect(clockLine(feed({ phase: 'closed' }), 9000)).toBe('');
  });
  it('a sentence for every phase', () => {
    for (const phase of ['planned', 'suit_up', 'prebreathe', 'depress', 'egress', 'work', 'clean_up', 'ingress', 'repress', 'post', 'closed'] as const)
      expect(headline(feed({ phase }))).toMatch(/^The .*\.$/);
  });
  it('neutrally when the day ends otherwise than planned', () => {
    expect(headline(feed({ phase: 'planned', ending: 'called_off' }))).toBe('The spacewalk does not take place today.');
    expect(clockLine(feed({ phase: 'planned', pet_running: false, ending: 'called_off' }), -3600)).toBe('');
    expect(headline(feed({ ending: 'coming_in' }))).toBe('The crew are on their way back in.');
    expect(headline(feed({ phase: 'repress', ending: 'coming_in' }))).toMatch(/inside again/);
  });
  it('progress counts only the jobs of today', () => {
    expect(progress([job('done'), job('under_way'), job('not_today')])).toEqual({ done: 1, of: 2, words: '1 of 2 jobs done' });
    expect(progress([]).words).toBe('');
    expect(progress([job('to_come')]).words).toBe('0 of 1 job done');
  });
  it('the light goes on by the page’s own clock when its change has passed', () => {
    const sunlit = { known: true, now: true, until_pet_s: 600 };
    expect(lightLine(sunlit, 0)).toBe('The station is in daylight. Night comes in 10 min.');
    expect(lightLine(sunlit, 600)).toBe('It is night at the station.');
    expect(lightLine({ known: false, now: null, until_pet_s: null }, 0)).toBe('');
  });
  it('somebody between two jobs is neither idle nor inside', () => {
    expect(nowTitle({ outside: true, now: null } as Person)).toBe('Between two jobs');
    expect(nowTitle({ outside: false, now: null } as Person)).toBe('Inside the station');
  });
  it('people are drawn on their way while it lasts, and at their place from then on', () => {
    const person = { at: 'mid', now: { way: ['door', 'mid'], since_pet_s: 100, way_s: 40 } } as unknown as Person;
    expect(standingAt(yard, person, 120)).toEqual({ at: [0, 5, 0], site: null });
    expect(standingAt(yard, person, 150)).toEqual({ at: [0, 10, 0], site: 'mid' });
    expect(standingAt(yard, { at: 'tip', now: null } as Person, 0).site).toBe('tip');
  });
});
