// Writes src/lib/schema.d.ts from docs/openapi.json; with --check only says whether it is current.
import { readFileSync, writeFileSync } from 'node:fs';
import openapiTS, { astToString } from 'openapi-typescript';

const source = new URL('../../docs/openapi.json', import.meta.url);
const target = new URL('../src/lib/schema.d.ts', import.meta.url);
const text = `// Made from docs/openapi.json by "npm run types"; do not edit.\n${astToString(await openapiTS(source))}`;
if (!process.argv.includes('--check')) {
  writeFileSync(target, text);
} else if (readFileSync(target, 'utf8') !== text) {
  console.error('src/lib/schema.d.ts is not what docs/openapi.json gives: run "npm --prefix web run types".');
  process.exit(1);
} else {
  console.log('types: as docs/openapi.json says');
}
