// The outing file as forms: tables out of its TOML, edits by address, errors brought back to their field. Pure.
import type { Field } from './outing-forms';
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

/** The files in the order in which their lists are put together: included ones first. */
function inListOrder(file: OutingFile): Table[] {
  const byName = new Map(file.texts.map((text) => [text.name, text.tables as Table]));
  const out: Table[] = [];
  const visit = (root: Table | undefined): void => {
    if (!root || out.includes(root)) return;
    const include = root['include'];
    for (const name of Array.isArray(include) ? include : include === undefined ? [] : [include]) visit(byName.get(String(name).split('/').at(-1) ?? ''));
    if (!out.includes(root)) out.push(root);
  };
  visit(file.texts[0]?.tables as Table | undefined);
  for (const text of file.texts) visit(text.tables as Table);
  return out;
}
const down = (root: Table, path: readonly string[]): Table => path.reduce(inside, root);

/** All tables of a list ("task", "station.worksite"), over every file of the outing, as the reader counts them. */
export function listAt(file: OutingFile, at: string): Table[] {
  const path = at.split('.');
  return inListOrder(file).flatMap((root) => tables(down(root, path.slice(0, -1))[path.at(-1) ?? '']));
}
/** One table ("rules", "crew.EV1"), its keys from whichever file has them; an including file's come before an included one's. */
export const tableAt = (file: OutingFile, at: string): Table => Object.assign({}, ...inListOrder(file).map((root) => down(root, at.split('.')))) as Table;
export const childrenOf = (table: Table, key: string): Table[] => tables(table[key]);
export const idOf = (table: Table): string => String(table['id'] ?? table['name'] ?? '');

/** How an edit names an entry: by its id, else by its number, which is always right. */
export function entryAddress(list: string, table: Table, index: number): string {
  const id = table['id'];
  return `${list}[${typeof id === 'string' && /^[\w-]+$/.test(id) ? id : index + 1}]`;
}
/** What people call it. */
export function labelOf(table: Table, index: number): string {
  const between = table['between'];
  if (Array.isArray(between)) return between.join(' – ');
  if (typeof table['condition'] === 'string') return `${table['condition']}${typeof table['from'] === 'string' ? ` ${table['from']}` : ''}`;
  return String(table['name'] ?? table['id'] ?? table['task'] ?? table['up_to'] ?? index + 1);
}

/** A value as TOML has it; JSON's escapes are TOML's, save for DEL. */
export function toml(value: Value): string {
  if (typeof value === 'string') return JSON.stringify(value).replaceAll('\u007f', '\\u007f');
  if (typeof value === 'number' || typeof value === 'boolean') return String(value);
  if (Array.isArray(value)) return `[${value.map(toml).join(', ')}]`;
  return `{ ${Object.entries(value).map(([key, one]) => `${key} = ${toml(one)}`).join(', ')} }`;
}

/** What stands in the field. */
export function shown(field: Field, value: Value | undefined): string {
  if (value === undefined) return '';
  if (field.kind === 'duration' && typeof value === 'object' && !Array.isArray(value)) {
    const three = value as { readonly [key: string]: Value };
    return [three['low'], three['likely'], three['high']].filter((one) => one !== undefined).join(' / ');
  }
  if (field.key === 'within' && typeof value === 'object' && !Array.isArray(value)) {
    const { time, of } = value as { readonly [key: string]: Value };
    return of === undefined ? String(time) : `${String(time)} of ${String(of)}`;
  }
  if (field.kind === 'rows') return JSON.stringify(value);
  if (field.kind === 'lines') return Array.isArray(value) ? value.join('\n') : String(value);
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
    case 'lines':
      return text.split('\n').map((one) => one.trim()).filter((one) => one !== '');
    case 'rows':
      return rowsOf(text).length ? rowsOf(text) : null;
    case 'who': {
      const who = text.split(',').map((one) => one.trim()).filter((one) => one !== '');
      return who.length === 1 ? (who[0] ?? '') : who;
    }
    case 'point':
      return text.split(',').map((one) => (field.numbers && /^[-+.\d\s]+$/.test(one) ? Number(one) : one.trim()));
    case 'duration': {
      const parts = text.split('/').map((one) => one.trim());
      const [low, likely, high] = parts;
      return parts.length === 3 && low && likely && high ? { low, likely, high } : text;
    }
    default:
      return text;
  }
}

/** Rows as they are kept while they are typed; rows without anything in them count as none. */
export function rowsOf(typed: string): Table[] {
  try {
    return tables(JSON.parse(typed) as Value).filter((row) => Object.keys(row).length > 0);
  } catch {
    return [];
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

/** How errors may begin that are about this table: `item "Driver"`, `route 3`, `crew, EV1`. */
export function entryPrefixes(one: string, table: Table, index: number, typedName?: string): string[] {
  const names = [typedName, table['name'], table['id'], table['condition']].filter((name): name is string => typeof name === 'string' && name !== '');
  return [...names.map((name) => `${one} "${name}"`), `${one} ${index + 1}`];
}
export const singlePrefixes = (at: string): string[] => [at.split('.').join(', ')];
export const within = (outer: readonly string[], inner: readonly string[]): string[] => outer.flatMap((a) => inner.map((b) => `${a}, ${b}`));

/** What the error says of the table that goes by one of these beginnings: the rest of its path, "" for the table itself, null for others. */
export function restOf(error: InputError, prefixes: readonly string[]): string | null {
  const [found] = prefixes.filter((prefix) => error.field === prefix || error.field.startsWith(`${prefix}, `)).sort((a, b) => b.length - a.length);
  return found === undefined ? null : error.field.slice(found.length).replace(/^, /, '');
}
/** Whether that rest is about this key: "duration", "interrupt, every", "hazard 1, control" for `hazards`. */
export const isAbout = (rest: string, key: string): boolean => rest === key || rest.startsWith(`${key}, `) || (key.endsWith('s') && new RegExp(`^${key.slice(0, -1)} \\d`).test(rest));
export const sentence = (error: InputError): string =>
  `expected ${error.expected}, found ${error.found}${error.remedy ? `; ${error.remedy}` : ''}`;

/** An id that is not taken, made from a name. */
export function freshId(name: string, taken: readonly string[]): string {
  const base = name.toLowerCase().replaceAll(/[^a-z0-9]+/g, '-').replaceAll(/^-|-$/g, '') || 'new';
  let id = base;
  for (let i = 2; taken.includes(id); ++i) id = `${base}-${i}`;
  return id;
}
/** A new entry of a list: its id where it has one, its name, and what it cannot do without. */
export function newEntry(list: string, values: Readonly<Record<string, Value>>, blank: string, after = ''): FileEdit {
  const keys = Object.entries(values).map(([key, value]) => `${key} = ${toml(value)}\n`).join('');
  return { do: 'insert', table: list, text: `${keys}${blank}`, ...(after ? { after } : {}) };
}
