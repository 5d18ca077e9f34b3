import { readFileSync } from 'node:fs';
import Ajv2020 from 'ajv/dist/2020';
import { describe, expect, it } from 'vitest';
import { example } from './example';

const document = JSON.parse(readFileSync(new URL('../../../docs/openapi.json', import.meta.url), 'utf8')) as object;
const ajv = new Ajv2020({ strict: false, allErrors: true });
ajv.addSchema(document, 'api');

describe('docs/openapi.json', () => {
  it('describes the example status', () => {
    const check = ajv.compile({ $ref: 'api#/components/schemas/Status' });
    check(example);
    expect(check.errors).toBeNull();
  });
  it('would notice a key that is missing or unknown', () => {
    const check = ajv.compile({ $ref: 'api#/components/schemas/Status' });
    const { crew: _, ...without } = example;
    expect(check(without)).toBe(false);
    expect(check({ ...example, surprise: 1 })).toBe(false);
  });
});
