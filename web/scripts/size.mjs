// Fails when the page's scripts are larger than their budget, gzipped.
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { gzipSync } from 'node:zlib';

const budget = 250_000;
const assets = new URL('../dist/assets/', import.meta.url);
if (!existsSync(assets)) {
  console.error('web/dist is missing: run "npm --prefix web run build" first.');
  process.exit(1);
}
let total = 0;
for (const name of readdirSync(assets)) {
  if (name.endsWith('.js')) total += gzipSync(readFileSync(new URL(name, assets)), { level: 9 }).length;
}
console.log(`scripts: ${(total / 1000).toFixed(1)} kB gzipped of ${budget / 1000} kB`);
if (total === 0 || total > budget) process.exit(1);
