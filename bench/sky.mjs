// Question: how does Handrail's SGP4 compare with npm satellite.js on the same elements and times, in one run on one core?
//   cmake --preset bench && cmake --build --preset bench --target sky_bench && (cd bench && npm ci && node sky.mjs)
// Prints a table with the ratios and exits 1 when a state differs by more than 1e-6 km or the speed aim is missed.
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { cpus, tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import {
  BulkPropagator, EciBaseCalculator, createSingleThreadRuntime, sgp4, twoline2satrec,
} from 'satellite.js';

const here = dirname(fileURLToPath(import.meta.url));
const program = process.argv[2] ?? join(here, '../build/bench/bench/sky_bench');
// Invented orbit, 420 km, 51.6 degrees; the same as in sky_bench.cpp.
const elements = [
  '1 90001U 00000A   30079.50000000  .00000000  00000-0  20000-4 0    14',
  '2 90001  51.6000   0.0000 0005000  40.0000  10.0000 15.50000000    05',
];

/** The best of five rounds, each as often as fills 0.2 s. */
function perSecond(items, work) {
  let best = 0;
  for (let round = 0; round < 5; ++round) {
    const start = process.hrtime.bigint();
    let done = 0;
    let spent = 0;
    do {
      work();
      done += items;
      spent = Number(process.hrtime.bigint() - start) / 1e9;
    } while (spent < 0.2);
    best = Math.max(best, done / spent);
  }
  return best;
}

const record = twoline2satrec(...elements);
let sink = 0;
const script = perSecond(1440, () => {
  for (let t = 0; t < 1440; ++t) sink += sgp4(record, t).position.x;
});
const theirX = sgp4(record, 1439).position.x;

// Its WebAssembly bulk propagator, one thread: written in C++ too.
const runtime = await createSingleThreadRuntime();
const bulk = new BulkPropagator({ runtime, calculators: [new EciBaseCalculator()], satRecsCount: 1, datesCount: 1440 });
bulk.setSatRecs([record]);
const epoch = Date.UTC(2030, 2, 20, 12);
bulk.setDates(Array.from({ length: 1440 }, (_, t) => new Date(epoch + t * 60000)));
await bulk.run();
let wasm = 0;
for (let round = 0; round < 5; ++round) {
  const start = process.hrtime.bigint();
  let done = 0;
  let spent = 0;
  do {
    await bulk.run();
    done += 1440;
    spent = Number(process.hrtime.bigint() - start) / 1e9;
  } while (spent < 0.2);
  wasm = Math.max(wasm, done / spent);
}
sink += bulk.getRawOutput().eci.position[0];

const folder = mkdtempSync(join(tmpdir(), 'handrail-bench-'));
const file = join(folder, 'elements.tle');
writeFileSync(file, elements.join('\n') + '\n');
const output = execFileSync(program, [file], { encoding: 'utf8' });
rmSync(folder, { recursive: true });
const ours = Object.fromEntries(output.trim().split('\n').map((line) => line.split(' ')).map(([k, v]) => [k, Number(v)]));

const million = (n) => (n / 1e6).toFixed(2).padStart(7);
const times = (n) => (n / script).toFixed(1).padStart(5);
console.log(`${process.argv.join(' ')}\n${cpus()[0].model}, node ${process.version}, satellite.js 7.1.0, one core\n`);
console.log('| SGP4, one element set, 1,440 minutes | million states/s | times satellite.js |');
console.log('| --- | --- | --- |');
console.log(`| satellite.js sgp4() | ${million(script)} | ${times(script)} |`);
console.log(`| satellite.js bulk propagator (WebAssembly, one thread) | ${million(wasm)} | ${times(wasm)} |`);
console.log(`| Handrail, one by one | ${million(ours.one_by_one)} | ${times(ours.one_by_one)} |`);
console.log(`| Handrail, several at once | ${million(ours.several_at_once)} | ${times(ours.several_at_once)} |`);
console.log(`| Handrail, one by one with sun and shadow | ${million(ours.with_sun_and_shadow)} | |`);
console.log(`\nshadow edges of a day: ${ours.shadow_times_of_a_day} ms; all windows of 14 h with 12 worksites: ${ours.windows_of_14_h_12_worksites} ms`);
const difference = Math.abs(theirX - ours.last_state_x);
console.log(`x after 1,439 min differs by ${difference.toExponential(1)} km`);
if (!(difference < 1e-6) || !(ours.one_by_one > 2 * script) || !Number.isFinite(sink)) process.exitCode = 1;
