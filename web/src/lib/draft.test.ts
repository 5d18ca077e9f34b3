import { describe, expect, it } from 'vitest';
import { leadOf, meant, other } from './draft.svelte';
import { example } from './example';
import { pet } from './units';

const list = example.forecast.activities;
const step = list.find((one) => one.label !== null && one.lanes.length === 1 && one.lanes[0]?.startsWith('EV'))!;
const lane = step.lanes[0] as 'EV1' | 'EV2';

describe('dragging a step', () => {
  it('along its lane pins it to that moment', () => {
    expect(meant(example, null, list, step.label!, pet(7200), lane)?.edit).toEqual({ kind: 'pin', step: step.label, from_s: 7200, to_s: 7200 });
  });
  it('to the other lane gives its task to the other lead', () => {
    const lead = leadOf(example, null, step.task!);
    expect(meant(example, null, list, step.label!, pet(7200), other(lane))?.edit).toEqual({ kind: 'give', task: step.task, lead: other(lead) });
  });
  it('means nothing when the step is no longer ahead', () => {
    expect(meant(example, null, list, 'gone.1', pet(0), 'EV1')).toBeNull();
  });
});
