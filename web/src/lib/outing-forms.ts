// Which forms an outing file has: read from the schema the program itself is generated from, so that every field is
// there with its own words, kind and example. Only the order of what is asked first is decided here. Pure.
import schema from '../../../docs/outing.schema.json';

interface Node {
  readonly type?: string;
  readonly enum?: readonly string[];
  readonly $ref?: string;
  readonly anyOf?: readonly Node[];
  readonly items?: Node;
  readonly minItems?: number;
  readonly description?: string;
  readonly properties?: Readonly<Record<string, Node>>;
  readonly required?: readonly string[];
}
const defs = schema.$defs as unknown as Readonly<Record<string, Node>>;

/** What ids a field names. */
export type Kin = 'worksite' | 'item' | 'suit' | 'task' | 'inhibit' | 'resource';
export type Kind = 'text' | 'long' | 'number' | 'yes' | 'choice' | 'id' | 'who' | 'duration' | 'point' | 'list' | 'lines' | 'rows' | 'table';
export interface Field {
  readonly key: string;
  readonly words: string;
  readonly kind: Kind;
  readonly help: string;
  readonly example: string;
  readonly required: boolean;
  readonly choices?: readonly string[];
  readonly kin?: Kin; // id and list: what they name
  readonly numbers?: boolean; // point: three bare numbers
  readonly of?: string; // rows and table: the definition of what is in them
}

const kin: Readonly<Record<string, Kin>> = {
  'station.airlock': 'worksite', 'arm.parked': 'worksite', 'arm.clears': 'worksite', 'route.between': 'worksite', 'window.worksite': 'worksite', 'step.at': 'worksite',
  'step.to': 'worksite', 'step.watched_from': 'worksite', 'item.at': 'worksite', 'item.in': 'item', 'step.needs': 'item', 'step.takes': 'item', 'step.leaves': 'item',
  'step.installs': 'item', 'step.moves': 'item', 'step.stows': 'item', 'step.into': 'item', 'step.hands_over': 'item', 'crew member.suit': 'suit', 'task.after': 'task',
  'task.needs': 'task', 'task.not_with': 'task', 'task.with': 'task', 'task.instead_of': 'task', 'interrupt.by': 'task', 'prefer.task': 'task', 'step.inhibits': 'inhibit',
  'use.resource': 'resource',
};
const named: Readonly<Record<string, string>> = {
  'step.at': 'Where', 'step.to': 'Ends where', 'step.duration': 'Takes', 'step.needs': 'Items at hand', 'step.takes': 'Items taken along', 'step.leaves': 'Items left there', 'step.installs': 'Items fitted', 'step.say': 'Words for the crew', 'step.opens': 'Leaves the worksite open', 'step.close_up': 'Closes it up',
  'worksite.normal': 'Faces', 'worksite.anchor': 'A tether can be anchored here', 'item.at': 'Starts at', 'item.in': 'Starts in', 'item.returns': 'Must come back inside',
  'item.two_people': 'Too large for one', 'outing.pet_zero': 'PET zero', 'outing.doffing': 'Steps back after repress', 'inside.iv': 'IV', 'suit.co2_capacity': 'CO₂ capacity',
  'task.lead': 'Led by', 'rules.egress_by': 'Egress done by', 'rules.limit': 'Hatch closed by', 'prebreathe.limit_r': 'Largest R', 'orbit.tle': 'Two-line elements',
};
/** Words for everyone and for the crew, and what fills more than a line. */
const long = new Set(['about', 'why', 'say', 'public', 'picture', 'tle']);
/** Sentences, so that commas are part of them: a line each. */
const lines = new Set(['doffing', 'sources']);
/** Asked first; the rest stands behind "more". */
const first: Readonly<Record<string, readonly string[]>> = {
  task: ['name', 'class', 'value', 'lead', 'why'],
  step: ['name', 'who', 'at', 'duration', 'effort', 'needs', 'takes', 'installs', 'during', 'say', 'public', 'hazards', 'opens', 'close_up'],
  rules: ['limit', 'margin', 'egress_by', 'egress', 'clean_up', 'ingress', 'tether', 'partner_within', 'glove_check_every', 'glove_check', 'heavy_limit', 'rest', 'quiet'],
};

const plain = (key: string): string => key.charAt(0).toUpperCase() + key.slice(1).replaceAll('_', ' ');
const target = (node: Node | undefined): string => node?.$ref?.split('/').at(-1) ?? '';

function kindOf(key: string, node: Node): Pick<Field, 'kind' | 'choices' | 'numbers' | 'of'> {
  if (key === 'who') return { kind: 'who' };
  if (node.type === 'boolean') return { kind: 'yes' };
  if (node.enum) return { kind: 'choice', choices: ['', ...node.enum] };
  if (node.type === 'number' || node.type === 'integer') return { kind: 'number' };
  if (node.$ref) return { kind: 'table', of: target(node) };
  if (node.type === 'array') {
    if (node.items?.$ref) return { kind: 'rows', of: target(node.items) };
    if (lines.has(key)) return { kind: 'lines' };
    return node.minItems === 3 ? { kind: 'point', numbers: node.items?.type === 'number' } : { kind: 'list' };
  }
  if (node.anyOf?.some((one) => target(one) === 'duration')) return { kind: 'duration' };
  if (node.anyOf?.some((one) => one.type === 'array')) return { kind: lines.has(key) ? 'lines' : 'list' };
  return { kind: long.has(key) ? 'long' : 'text' };
}

/** Every field of a definition, those asked first in front. Lists that have forms of their own (`inside`) are left out. */
export function fieldsOf(def: string, inside: readonly string[] = []): { first: Field[]; more: Field[] } {
  const node = defs[def];
  const all = Object.entries(node?.properties ?? {}).filter(([key]) => key !== 'id' && !inside.includes(key)).map(([key, one]): Field => {
    const [help = '', example = ''] = (one.description ?? '').split('; for example ');
    const full = `${def}.${key}`;
    const shape = kindOf(key, one);
    const names = kin[full];
    return {
      key, words: named[full] ?? (key === 'public' || (key === 'about' && help.includes('public')) || key === 'why' ? `${key === 'why' ? 'Why' : key === 'about' ? 'About' : 'Words'}, for everyone` : plain(key)),
      help: help.replace(/^words for the public$/, ''), example, required: node?.required?.includes(key) ?? false, ...shape,
      ...(names ? { kin: names } : {}), ...(names && shape.kind === 'text' ? { kind: 'id' as const } : {}),
    };
  });
  const order = first[def];
  if (!order) return { first: all, more: [] };
  const wanted = order.flatMap((key) => all.filter((field) => field.key === key));
  return { first: wanted, more: all.filter((field) => !order.includes(field.key)) };
}
export const aboutDef = (def: string): string => defs[def]?.description ?? '';

/** One table of the file ("rules"), or a list of them ("item"). */
export interface Form {
  readonly at: string; // address of the table, or of the list
  readonly def: string;
  readonly title: string;
  readonly list: boolean;
  readonly one?: string; // a list: what one of its entries is called, as in errors
  readonly inside?: readonly Form[]; // lists within each table: at is their key
  readonly blank?: string; // a list: TOML of a new entry beside its id and name
  readonly named?: boolean; // a list whose entries have ids
}
const single = (at: string, def: string, title: string, inside?: readonly Form[]): Form => ({ at, def, title, list: false, ...(inside ? { inside } : {}) });
const list = (at: string, def: string, title: string, one: string, more: Partial<Form> = {}): Form => ({ at, def, title, one, list: true, ...more });

export const groups: readonly { readonly title: string; readonly forms: readonly Form[] }[] = [
  {
    title: 'Tasks',
    forms: [
      list('task', 'task', 'Tasks', 'task', {
        named: true, blank: 'class = "wanted"\nvalue = 10\n\n[[task.step]]\nid = "first"\nname = "First step"\nduration = "10 min"\n',
        inside: [list('step', 'step', 'Steps', 'step', { named: true, blank: 'duration = "10 min"\n' })],
      }),
      list('prefer', 'prefer', 'Wishes', 'prefer', { blank: 'worth = "5 min"\n' }),
      list('inhibit', 'inhibit', 'Inhibits', 'inhibit', { named: true }),
      list('resource', 'resource', 'Resources', 'resource', { named: true, blank: 'capacity = 1\n' }),
    ],
  },
  { title: 'Items and bags', forms: [list('item', 'item', 'Items and bags', 'item', { named: true })] },
  {
    title: 'Crew and suits',
    forms: [single('crew.EV1', 'crew member', 'EV1'), single('crew.EV2', 'crew member', 'EV2'), single('inside', 'inside', 'Inside'), list('suit', 'suit', 'Suits', 'suit', { named: true })],
  },
  {
    title: 'Station',
    forms: [
      list('station.worksite', 'worksite', 'Worksites', 'worksite', { named: true, blank: 'position = ["0 m", "0 m", "0 m"]\nnormal = [0, 0, -1]\n' }),
      list('station.route', 'route', 'Routes', 'route', { blank: 'length = "5 m"\n' }),
      list('station.solid', 'solid', 'Solids', 'solid', { blank: 'shape = "box"\ncentre = ["0 m", "0 m", "0 m"]\nsize = ["1 m", "1 m", "1 m"]\n' }),
      single('station', 'station', 'Station', []), single('station.arm', 'arm', 'Arm'), single('station.attitude', 'attitude', 'Attitude'),
    ],
  },
  {
    title: 'Light and coverage',
    forms: [
      single('orbit', 'orbit', 'Orbit'), list('coverage.ground_station', 'ground station', 'Ground stations', 'ground station', { blank: 'latitude = "0 deg"\nlongitude = "0 deg"\n' }),
      list('coverage.relay', 'relay', 'Relays', 'relay', { blank: 'longitude = "0 deg"\n' }), list('window', 'window', 'Windows', 'window', { blank: 'from = "00:00"\nto = "01:00"\n' }),
      single('windows', 'windows', 'Windows from a table'),
    ],
  },
  {
    title: 'Rules',
    forms: [
      single('rules', 'rules', 'Rules'), single('rules.effort', 'effort', 'Rates by effort'), single('rules.pace', 'pace', 'Pace by route'),
      single('prebreathe', 'prebreathe', 'Prebreathe', [
        list('stage', 'stage', 'Stages', 'stage', { blank: 'duration = "10 min"\npressure = "101.35 kPa"\noxygen = "100 %"\n' }), list('break', 'break', 'Breaks', 'break', { blank: 'up_to = "10 min"\n' }),
      ]),
    ],
  },
  { title: 'Outing and risk', forms: [single('outing', 'outing', 'Outing'), single('risk', 'risk', 'Risk', []), list('risk.trouble', 'trouble', 'Troubles', 'trouble', { blank: 'probability = "2 %"\nextra = "10 min"\n' })] },
];
