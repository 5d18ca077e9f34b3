// The outing file as forms: tables out of its TOML, edits by address, errors brought back to their field. Pure.
import type { FileRequest, FileTried, OutingFile } from './types';

export type Value = string | number | boolean | readonly Value[] | { readonly [key: string]: Value };
export type Table = { readonly [key: string]: Value };
export type FileEdit = FileRequest['edits'][number];
export type InputError = FileTried['errors'][number];

const tables = (value: Value | undefined): Table[] => (Array.isArray(value) ? value.filter((one): one is Table => typeof one === 'object' && one !== null && !Array.isArray(one)) : []);
const inside = (table: Table, key: string): Table => {
  const found = table[key];
  return typeof found === 'object' && found !== null && !Array.isArray(found) ? (found as Table) : {};
};

/** All tables of a list, over every file of the outing. */
export function listOf(file: OutingFile, list: 'task' | 'worksite' | 'item'): Table[] {
  return file.texts.flatMap(({ tables: root }) => tables((list === 'worksite' ? inside(root as Table, 'station') : (root as Table))[list]));
}
export const stepsOf = (task: Table): Table[] => tables(task['step']);
export const idOf = (table: Table): string => String(table['id'] ?? table['name'] ?? '');
export const taskAddress = (task: string): string => `task[${task}]`;
export const stepAddress = (task: string, step: string): string => `${taskAddress(task)}.step[${step}]`;
export const siteAddress = (site: string): string => `station.worksite[${site}]`;

/** A value as TOML has it; JSON's escapes are TOML's, save for DEL. */
export function toml(value: Value): string {
  if (typeof value === 'string') return JSON.stringify(value).replaceAll('\u007f', '\\u007f');
  if (typeof value === 'number' || typeof value === 'boolean') return String(value);
  if (Array.isArray(value)) return `[${value.map(toml).join(', ')}]`;
  return `{ ${Object.entries(value).map(([key, one]) => `${key} = ${toml(one)}`).join(', ')} }`;
}

export type Kind = 'text' | 'long' | 'number' | 'yes' | 'choice' | 'site' | 'who' | 'duration' | 'point' | 'list';
export interface Field {
  readonly key: string;
  readonly words: string;
  readonly kind: Kind;
  readonly choices?: readonly string[];
  readonly help?: string;
}
const efforts = ['rest', 'ride', 'light', 'tools', 'translate', 'heavy', 'airlock', 'forced'];
export const taskFields: readonly Field[] = [
  { key: 'name', words: 'Name', kind: 'text' },
  { key: 'class', words: 'Class', kind: 'choice', choices: ['required', 'wanted', 'get-ahead'] },
  { key: 'value', words: 'Value', kind: 'number', help: 'against the other tasks' },
  { key: 'lead', words: 'Led by', kind: 'choice', choices: ['', 'EV1', 'EV2'], help: 'empty: the planner decides' },
  { key: 'why', words: 'Why, for everyone', kind: 'long' },
];
export const stepFields: readonly Field[] = [
  { key: 'name', words: 'Name', kind: 'text' },
  { key: 'who', words: 'Who', kind: 'who' },
  { key: 'at', words: 'Where', kind: 'site' },
  { key: 'duration', words: 'Takes', kind: 'duration', help: '"12 min", or low, likely and high: "8 min / 10 min / 20 min"' },
  { key: 'effort', words: 'Effort', kind: 'choice', choices: ['', ...efforts] },
  { key: 'needs', words: 'Needs', kind: 'list', help: 'ids of items, with commas' },
  { key: 'opens', words: 'Leaves something open', kind: 'yes' },
  { key: 'say', words: 'Words for the crew', kind: 'long' },
  { key: 'public', words: 'Words for everyone', kind: 'long' },
];
export const siteFields: readonly Field[] = [
  { key: 'name', words: 'Name', kind: 'text' },
  { key: 'position', words: 'Position', kind: 'point', help: 'x, y, z in metres' },
  { key: 'normal', words: 'Faces', kind: 'point', help: 'x, y, z: the outward direction' },
  { key: 'anchor', words: 'A tether can be anchored here', kind: 'yes' },
  { key: 'about', words: 'About', kind: 'text' },
];

/** What stands in the field. */
export function shown(field: Field, value: Value | undefined): string {
  if (value === undefined) return '';
  if (field.kind === 'duration' && typeof value === 'object' && !Array.isArray(value)) {
    const three = value as { readonly [key: string]: Value };
    return [three['low'], three['likely'], three['high']].filter((one) => one !== undefined).join(' / ');
  }
  if (Array.isArray(value)) return value.map((one) => (typeof one === 'object' ? JSON.stringify(one) : String(one))).join(', ');
  return typeof value === 'object' ? JSON.stringify(value) : String(value);
}
/** What was typed, as the file wants it; null: take the key out. The reader judges the rest. */
export function meant(field: Field, typed: string): Value | null {
  const text = typed.trim();
  if (text === '') return null;
  switch (field.kind) {
    case 'number':
      return Number.isFinite(Number(text)) ? Number(text) : text;
    case 'yes':
      return text === 'true';
    case 'list':
      return text.split(',').map((one) => one.trim()).filter((one) => one !== '');
    case 'who': {
      const who = text.split(',').map((one) => one.trim()).filter((one) => one !== '');
      return who.length === 1 ? (who[0] ?? '') : who;
    }
    case 'point':
      return text.split(',').map((one) => (/^[-+.\d\s]+$/.test(one) && field.key === 'normal' ? Number(one) : one.trim()));
    case 'duration': {
      const parts = text.split('/').map((one) => one.trim());
      const [low, likely, high] = parts;
      return parts.length === 3 && low && likely && high ? { low, likely, high } : text;
    }
    default:
      return text;
  }
}

export const edit = (table: string, field: Field, typed: string): FileEdit => {
  const value = meant(field, typed);
  return value === null ? { do: 'remove_key', table, key: field.key } : { do: 'set', table, key: field.key, value: toml(value) };
};
/** One edit for each key: the newest. Edits that make or take tables stay in their order. */
export function withEdit(edits: readonly FileEdit[], next: FileEdit): FileEdit[] {
  const same = (one: FileEdit): boolean => (one.do === 'set' || one.do === 'remove_key') && one.table === next.table && one.key === next.key;
  return next.do === 'set' || next.do === 'remove_key' ? [...edits.filter((one) => !same(one)), next] : [...edits, next];
}

/** Whether an error is about this key of the table that calls itself by one of these names. */
export function isAbout(error: InputError, names: readonly string[], key: string): boolean {
  const field = error.field.toLowerCase();
  const last = field.split(/[,.]\s*/).at(-1) ?? '';
  return last === key.toLowerCase() && names.some((name) => name !== '' && field.includes(name.toLowerCase()));
}
export const sentence = (error: InputError): string =>
  `expected ${error.expected}, found ${error.found}${error.remedy ? `; ${error.remedy}` : ''}`;

/** An id that is not taken, made from a name. */
export function freshId(name: string, taken: readonly string[]): string {
  const base = name.toLowerCase().replaceAll(/[^a-z0-9]+/g, '-').replaceAll(/^-|-$/g, '') || 'new';
  let id = base;
  for (let i = 2; taken.includes(id); ++i) id = `${base}-${i}`;
  return id;
}
export const newTask = (id: string, name: string, site: string): FileEdit => ({
  do: 'insert', table: 'task',
  text: `id = ${toml(id)}\nname = ${toml(name)}\nclass = "wanted"\nvalue = 10\n\n[[task.step]]\nid = "first"\nname = "First step"\nat = ${toml(site)}\nduration = "10 min"\n`,
});
export const newStep = (task: string, id: string, name: string, site: string, after: string): FileEdit => ({
  do: 'insert', table: `${taskAddress(task)}.step`, ...(after ? { after } : {}),
  text: `id = ${toml(id)}\nname = ${toml(name)}\nat = ${toml(site)}\nduration = "10 min"\n`,
});
export const newSite = (id: string, name: string): FileEdit => ({
  do: 'insert', table: 'station.worksite', text: `id = ${toml(id)}\nname = ${toml(name)}\nposition = ["0 m", "0 m", "0 m"]\nnormal = [0, 0, 1]\n`,
});
