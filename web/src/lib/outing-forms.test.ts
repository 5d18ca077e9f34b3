import { describe, expect, it } from 'vitest';
import schema from '../../../docs/outing.schema.json';
import { fieldsOf, type Form, groups } from './outing-forms';

const forms: Form[] = groups.flatMap((group) => group.forms.flatMap((form) => [form, ...(form.inside ?? [])]));
const all = (def: string) => [...fieldsOf(def).first, ...fieldsOf(def).more];

describe('the forms of an outing file', () => {
  it('reach every table the file may have', () => {
    const reached = new Set(forms.map((form) => form.def));
    const nested = (def: string): string[] => all(def).flatMap((field) => (field.of ? [field.of, ...nested(field.of)] : []));
    for (const form of forms) for (const def of nested(form.def)) reached.add(def);
    // Written as text in their step's own field, or only a holder of other tables.
    const elsewhere = ['duration', 'within', 'coverage', 'crew'];
    expect(Object.keys(schema.$defs).filter((def) => !reached.has(def) && !elsewhere.includes(def))).toEqual([]);
  });
  it('ask for every field, each once', () => {
    for (const [def, node] of Object.entries(schema.$defs) as [string, { properties?: object }][])
      expect(all(def).map((field) => field.key).sort(), def).toEqual(Object.keys(node.properties ?? {}).filter((key) => key !== 'id').sort());
  });
  it('know what kind each is, with its words and an example', () => {
    const of = (def: string, key: string) => all(def).find((field) => field.key === key);
    expect(of('step', 'duration')).toMatchObject({ kind: 'duration', required: true });
    expect(of('step', 'at')).toMatchObject({ kind: 'id', kin: 'worksite' });
    expect(of('step', 'needs')).toMatchObject({ kind: 'list', kin: 'item' });
    expect(of('worksite', 'normal')).toMatchObject({ kind: 'point', numbers: true });
    expect(of('route', 'pace')).toMatchObject({ kind: 'choice', choices: ['', 'easy', 'normal', 'careful'] });
    expect(of('crew member', 'speed')).toMatchObject({ kind: 'text', example: '"0.2 m/s"', help: 'hand over hand on a normal route' });
    expect(of('rules', 'effort')).toMatchObject({ kind: 'table', of: 'effort' });
    expect(of('step', 'hazards')).toMatchObject({ kind: 'rows', of: 'hazard' });
  });
});
