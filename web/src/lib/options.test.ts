import { describe, expect, it } from 'vitest';
import { example } from './example';
import { cards, consequences, earlierWords, soundness } from './options';
import type { Option, Options } from './types';
import { seconds } from './units';

const option = (over: Partial<Option>): Option => ({
  id: 'carry-on', title: 'Carry on in order', done: ['valve', 'camera'], left: ['sample'], required_left: [], dropped: [], value: 5,
  finish_pet_s: 8040, tightest: { words: 'EV2: CO2 removal', margin_min: 188 }, changes: [], findings: [], activities: [], stand_down: null, ...over,
});
const options: Options = {
  format: 'handrail-options', version: 1, position: 11, utc: example.utc, pet_s: 3500, caution: example.caution,
  options: [
    option({}),
    option({ id: 'come-in', title: 'Come in now', done: [], left: ['valve', 'camera', 'sample'], required_left: ['valve'], dropped: ['camera'], value: 0, finish_pet_s: 6840, tightest: null }),
  ],
};

describe('the ways on', () => {
  const [carryOn, comeIn] = cards(options, example) as [ReturnType<typeof cards>[0], ReturnType<typeof cards>[0]];
  it('are measured against carrying on', () => {
    expect(carryOn).toMatchObject({ first: true, earlier: 0, value: 0, toLimit: 23400 - 8040 });
    expect(comeIn).toMatchObject({ first: false, earlier: 1200, value: -5 });
  });
  it('name the tasks they leave, required ones as such', () => {
    expect(comeIn.leaves).toEqual([
      { name: 'Swap the coolant valve', required: true, onPurpose: false },
      { name: 'Replace the camera', required: false, onPurpose: true },
      { name: 'Take a surface sample', required: false, onPurpose: false },
    ]);
  });
  it('name the hardest consequence first', () => {
    expect(consequences(comeIn)[0]).toBe('Required and not done: Swap the coolant valve.');
    expect(consequences(comeIn)).toContain('Both inside at PET 01:54, 20 min earlier than by carrying on.');
    expect(consequences(carryOn)).toContain('Tightest margin: EV2: CO2 removal, 3 h 8 min.');
  });
  it('say when there is no margin', () => {
    const [short] = cards({ ...options, options: [option({ tightest: { words: 'EV2: CO2 removal', margin_min: -4 } })] }, example);
    expect(consequences(short!)).toContain('No margin: EV2: CO2 removal is short by 4 min.');
  });
  it('stand in order: carrying on, then what keeps every rule, most value first, then what does not', () => {
    const finding = { rule: 'limit', lanes: [], at_s: 0, amount: 1, unit: 's', what: 'the hatch is closed late.' };
    const shown = cards({ ...options, options: [option({ id: 'a', findings: [finding] }), option({ id: 'b', findings: [finding, finding] }), option({ id: 'c', required_left: ['valve'], left: ['valve'] }), option({ id: 'd', value: 1 }), option({ id: 'e', value: 3 })] }, example);
    expect(shown.map((card) => card.option.id)).toEqual(['a', 'e', 'd', 'c', 'b']);
    expect(shown.map(soundness)).toEqual(['breaks', 'keeps', 'keeps', 'leaves', 'breaks']);
    expect(consequences(shown[4]!)[0]).toBe('2 rules will be broken, the first of them: the hatch is closed late.');
  });
  it('put times in words', () => {
    expect(earlierWords(seconds(1200))).toBe('20 min earlier');
    expect(earlierWords(seconds(-300))).toBe('5 min later');
    expect(earlierWords(seconds(0))).toBe('the same time');
  });
  it('differ by what the clocks beside them differ by', () => {
    // 02:14:19 and 02:26:57: 12 min on the page, though 12 min 38 s pass; 02:14:58: the same minute
    const made = cards({ ...options, options: [option({ finish_pet_s: 8059 }), option({ id: 'later', finish_pet_s: 8817 }), option({ id: 'same', finish_pet_s: 8098 })] }, example);
    const said = new Map(made.map((card) => [card.option.id, consequences(card).find((one) => one.startsWith('Both inside'))]));
    expect(said.get('later')).toBe('Both inside at PET 02:26, 12 min later than by carrying on.');
    expect(said.get('same')).toBe('Both inside at PET 02:14, the same time as by carrying on.');
  });
});
