import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { example } from './example';
import { filters, offOxygen, passes } from './record';
import type { RecordEntry } from './types';

const entry = (kind: string, words: string, position = 1): RecordEntry => ({ ...example.record[0]!, kind, words, position, struck: false });

describe('filters of the record', () => {
  it('know every kind of entry that the journal has, save those that only move things about', () => {
    const source = readFileSync(new URL('../../../src/live/entry.cpp', import.meta.url), 'utf8');
    const list = /constexpr std::string_view kinds\[\] = \{([^}]*)\}/.exec(source)?.[1] ?? '';
    const kinds = [...list.matchAll(/"([a-z_]+)"/g)].map((match) => match[1]!);
    expect(kinds.length).toBeGreaterThan(20);
    const unseen = kinds.filter((kind) => !filters.some((filter) => filter !== 'all' && passes(entry(kind, ''), filter, '')));
    expect(unseen.sort()).toEqual(['closed', 'crew_placed', 'item_placed', 'struck']);
  });
  it('find words, authors and numbers', () => {
    expect(passes(entry('note', 'The glove looks worn', 12), 'notes', 'GLOVE')).toBe(true);
    expect(passes(entry('note', 'The glove looks worn', 12), 'all', '#12')).toBe(true);
    expect(passes(entry('note', 'The glove looks worn', 12), 'steps', '')).toBe(false);
  });
});

describe('breathing', () => {
  it('is off from the suit’s supply until an entry says on again', () => {
    const off = entry('oxygen', 'EV1 off oxygen: mask slipped');
    expect(offOxygen([off], 'EV1')).toBe(true);
    expect(offOxygen([off], 'EV2')).toBe(false);
    expect(offOxygen([off, entry('oxygen', 'EV1 on oxygen', 2)], 'EV1')).toBe(false);
    expect(offOxygen([{ ...off, struck: true }], 'EV1')).toBe(false);
  });
});
