// Runs every browser test file in a process of its own, one for each core. A file that fails is run once more, alone,
// when the others are done, and that is said: a browser on a busy machine now and then misses a moment, and what is
// truly broken fails twice.
//   node run.mjs [FILE…]      all *.test.mjs beside this file, unless some are named
import { spawn } from 'node:child_process';
import { readdirSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { basename, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const here = fileURLToPath(new URL('.', import.meta.url));
const named = process.argv.slice(2);
const files = named.length ? named : readdirSync(here).filter((name) => name.endsWith('.test.mjs')).sort().map((name) => join(here, name));

/** One file's tests; what they print is kept together. */
function tests(file) {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, ['--test', '--test-reporter', 'spec', file], { stdio: ['ignore', 'pipe', 'pipe'] });
    let said = '';
    child.stdout.on('data', (data) => (said += data));
    child.stderr.on('data', (data) => (said += data));
    child.once('error', reject);
    child.once('exit', (code) => {
      process.stdout.write(`-- ${basename(file)}\n${said}`);
      resolve(code === 0);
    });
  });
}

const waiting = [...files];
const failed = [];
async function worker() {
  for (let file = waiting.shift(); file; file = waiting.shift()) if (!(await tests(file))) failed.push(file);
}
await Promise.all(Array.from({ length: Math.min(2, availableParallelism?.() ?? 2) }, worker));

const broken = [];
for (const file of failed) {
  console.log(`== once more, alone: ${basename(file)}`);
  if (!(await tests(file))) broken.push(basename(file));
}
const passedLate = failed.map((file) => basename(file)).filter((name) => !broken.includes(name));
if (passedLate.length) console.log(`== passed only at the second try: ${passedLate.join(', ')}`);
console.log(broken.length ? `== browser tests failed: ${broken.join(', ')}` : `== all ${files.length} files of browser tests passed`);
process.exit(broken.length ? 1 : 0);
