// Fails when a page's first scripts or what it loads later are larger than their budget, gzipped.
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { gzipSync } from 'node:zlib';

const dist = new URL('../dist/', import.meta.url);
if (!existsSync(dist)) {
  console.error('web/dist is missing: run "npm --prefix web run build" first.');
  process.exit(1);
}
const packed = (file) => gzipSync(readFileSync(new URL(file, dist)), { level: 9 }).length;

/** What the page's own HTML names comes first; every other script beside it comes later. */
function page(name, folder) {
  const html = readFileSync(new URL(`${folder}index.html`, dist), 'utf8');
  const scripts = readdirSync(new URL(`${folder}assets/`, dist)).filter((file) => file.endsWith('.js'));
  const [first, later] = [true, false].map((named) => scripts.filter((file) => html.includes(file) === named).map((file) => packed(`${folder}assets/${file}`)).reduce((a, b) => a + b, 0));
  return [{ name: `${name}, first`, size: first, budget: 250_000 }, { name: `${name}, later`, size: later, budget: 250_000 }];
}
const all = [...page('console', ''), ...page('public page', 'public/'), { name: 'walk-through, all in one', size: packed('walk/walk.js'), budget: 250_000 }];
for (const { name, size, budget } of all) console.log(`${name}: ${(size / 1000).toFixed(1)} kB gzipped of ${budget / 1000} kB`);
if (all.some(({ name, size, budget }) => size > budget || (size === 0 && !name.endsWith('later')))) process.exit(1);
