// Words of the trade, each explained where it is first read. The explanations are ours; the words are the trade's. Pure.

export interface Entry {
  readonly term: string;
  readonly says: string;
  readonly also?: readonly string[];
}
export const glossary: readonly Entry[] = [
  { term: 'EV1', says: 'one of the two crew members outside; the first one named' },
  { term: 'EV2', says: 'the other of the two crew members outside' },
  { term: 'EVA', says: 'work outside in a spacesuit: a spacewalk' },
  { term: 'IV', says: 'the crew member inside who talks the two outside through their work' },
  { term: 'PET', says: 'the time since the suits went to their own batteries, in hours and minutes' },
  { term: 'UTC', says: 'the time all control rooms share; clocks on the Greenwich meridian show it in winter' },
  { term: 'airlock', says: 'a small room with two doors, so that the crew can go out without the station losing its air' },
  { term: 'egress', says: 'going out through the airlock' },
  { term: 'ingress', says: 'coming back in through the airlock' },
  { term: 'prebreathe', says: 'a time of breathing oxygen before going out, as before a deep dive' },
  { term: 'depress', says: 'letting the air out of the airlock' },
  { term: 'repress', says: 'letting air back into the airlock' },
  { term: 'handrail', says: 'a bar on the station’s outside; the crew move hand over hand along them', also: ['handrails', 'rail'] },
  { term: 'safety tether', says: 'a line that ties a crew member to the station at all times', also: ['tether', 'tethers'] },
  { term: 'worksite', says: 'a place outside where work is done', also: ['worksites'] },
  { term: 'truss', says: 'the long girder that carries solar panels and radiators', also: ['girder'] },
  { term: 'radiator', says: 'a large panel that gives the station’s heat away into space', also: ['radiators'] },
  { term: 'robotic arm', says: 'a crane with joints like an arm, flown from inside', also: ['robot arm'] },
  { term: 'foot restraint', says: 'a plate that holds the boots, so that both hands are free', also: ['foot restraints'] },
  { term: 'coolant', says: 'the liquid that carries heat from the station’s machines to its radiators', also: ['cooling loop'] },
  { term: 'hatch', says: 'the airlock’s door' },
  { term: 'payload', says: 'an experiment or a spare part that travels on the station’s outside' },
];

export interface Piece {
  readonly text: string;
  readonly explains: Entry | null;
}

const escaped = (word: string) => word.replace(/[.*+?^${}()|[\]\\]/g, '\\$&');
const spellings = glossary.flatMap((entry) => [entry.term, ...(entry.also ?? [])].map((word) => ({ word, entry }))).sort((a, b) => b.word.length - a.word.length);
const pattern = new RegExp(`(?<![\\p{L}\\p{N}-])(?:${spellings.map(({ word }) => escaped(word)).join('|')})(?![\\p{L}\\p{N}-])`, 'giu');
const short = (word: string) => word === word.toUpperCase();

function entryOf(found: string): Entry | null {
  // A short form such as IV is one only in capitals.
  return spellings.find(({ word }) => (short(word) ? word === found : word.toLowerCase() === found.toLowerCase()))?.entry ?? null;
}

/**
 * Cuts texts, given in reading order, into pieces: a word that is explained stands alone where it is read for the first
 * time on the page; later it is plain text. The pieces of a text joined are the text.
 */
export function explain(texts: readonly string[]): Piece[][] {
  const known = new Set<Entry>();
  return texts.map((text) => {
    const pieces: Piece[] = [];
    let from = 0;
    for (const match of text.matchAll(pattern)) {
      const entry = entryOf(match[0]);
      if (!entry || known.has(entry)) continue;
      known.add(entry);
      if (match.index > from) pieces.push({ text: text.slice(from, match.index), explains: null });
      pieces.push({ text: match[0], explains: entry });
      from = match.index + match[0].length;
    }
    if (from < text.length) pieces.push({ text: text.slice(from), explains: null });
    return pieces;
  });
}
export const explained = (pieces: readonly Piece[][]): Entry[] => pieces.flat().flatMap((piece) => (piece.explains ? [piece.explains] : []));
