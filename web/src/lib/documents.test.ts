import { describe, expect, it } from 'vitest';
import { documentPath, outdated, type Shown } from './documents';
import { example } from './example';

const shown: Shown = { kind: 'cue-sheet', reader: 'ev1', format: 'html', size: 'large', planPosition: example.plan!.position, position: example.position };

describe('a document', () => {
  it('is found under its kind, format and reader', () => {
    expect(documentPath(shown)).toBe(`/api/v1/document?kind=cue-sheet&format=html&for=ev1&size=large&at=${example.position}`);
  });
  it('is superseded once another plan is in force, and older once anything was written', () => {
    expect(outdated(shown, example)).toBeNull();
    expect(outdated(shown, { ...example, position: example.position + 1 })).toBe('older');
    expect(outdated(shown, { ...example, position: example.position + 1, plan: { ...example.plan!, position: example.position + 1 } })).toBe('superseded');
  });
});
