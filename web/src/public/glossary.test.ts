import { describe, expect, it } from 'vitest';
import { explain, explained, glossary } from './glossary';

const found = (texts: string[]) => explain(texts).map((pieces) => pieces.filter((piece) => piece.explains).map((piece) => piece.text));

describe('words of the trade', () => {
  it('are explained where they are first read, and only there', () => {
    expect(found(['Out of the airlock.', 'Back to the airlock along the truss.'])).toEqual([['airlock'], ['truss']]);
  });
  it('are found in their other spellings, whole words only', () => {
    expect(found(['Two tethers hold', 'trussed up'])).toEqual([['tethers'], []]);
    expect(found(['a safety tether, then a tether'])).toEqual([['safety tether']]);
  });
  it('short forms count in capitals only', () => {
    expect(found(['iv', 'IV speaks'])).toEqual([[], ['IV']]);
  });
  it('leave the text as it was', () => {
    const texts = ['EV1 goes from the airlock to the truss (truss!).', '', 'nothing new'];
    expect(explain(texts).map((pieces) => pieces.map((piece) => piece.text).join(''))).toEqual(texts);
  });
  it('each has one explanation that does not need another short form', () => {
    expect(new Set(glossary.map((entry) => entry.term.toLowerCase())).size).toBe(glossary.length);
    for (const entry of glossary) expect(entry.says).not.toMatch(/\b(EVA|PET|IV|EV1|EV2)\b/);
    expect(explained(explain(['IV and PET'])).map((entry) => entry.term)).toEqual(['IV', 'PET']);
  });
});
