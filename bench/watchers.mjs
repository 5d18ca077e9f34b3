// How long from an entry's POST until the last of many open pages has it?
//   node bench/watchers.mjs [watchers=1000] [entries=100]
// Starts the real program on the demo outing; watchers are plain event streams in this process, which shares the
// machine with the server. Prints its machine and the table docs/performance.md quotes.
import { spawn, spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import net from 'node:net';
import os from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const watchers = Number(process.argv[2] ?? 1000);
const entries = Number(process.argv[3] ?? 100);
const root = fileURLToPath(new URL('../', import.meta.url));
const binary = process.env.HANDRAIL_BINARY ?? join(root, 'build/release/handrail');
const scratch = mkdtempSync(join(os.tmpdir(), 'handrail-watchers-'));
const outing = join(root, 'demo/larkspur/outing.toml');
const plan = join(scratch, 'plan.json');
spawnSync(binary, ['plan', outing, '--iterations', '200', '--seed', '1', '--quiet', '--out', plan]);
const server = spawn(binary, ['serve', outing, '--timeline', plan, '--journal', join(scratch, 'day.handrail'), '--port', '0', '--as-if', '2031-04-05T08:50:00Z'], { stdio: ['ignore', 'pipe', 'inherit'] });
const url = await new Promise((resolve) => server.stdout.once('data', (data) => resolve(new URL(String(data).split('\n')[0]))));

let bytes = 0;
let wanted = '';
let missing = 0;
let all = () => {};
const sockets = [];
for (let i = 0; i < watchers; ++i) {
  const socket = net.connect(Number(url.port), url.hostname);
  sockets.push(socket);
  let tail = '';
  socket.seen = '';
  socket.on('data', (data) => {
    bytes += data.length;
    if (wanted === '' || socket.seen === wanted) return;
    const text = tail + data.toString('latin1');
    if (text.includes(wanted)) {
      socket.seen = wanted;
      tail = '';
      if (--missing === 0) all();
    } else tail = text.slice(-wanted.length);
  });
  await new Promise((resolve) => socket.once('connect', resolve));
  socket.write(`GET /api/v1/events HTTP/1.1\r\nHost: ${url.host}\r\nAccept: text/event-stream\r\n\r\n`);
}
await new Promise((resolve) => setTimeout(resolve, 4000));

const post = async (line, seen) => {
  const answer = await fetch(new URL('api/v1/entries', url), { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ line, author: 'bench', seen }) });
  if (answer.status !== 201) throw new Error(await answer.text());
  return (await answer.json()).position;
};
let seen = await post('pet zero', 1);
seen = await post('egress done', seen);
// What the server itself works for each entry, in ms of CPU: less shaken by what else the machine does.
const worked = () => readFileSync(`/proc/${server.pid}/stat`, 'utf8').split(') ')[1].split(' ').slice(11, 13).reduce((sum, ticks) => sum + Number(ticks) * 10, 0);
const times = [];
const sizes = [];
const cpuBefore = worked();
for (let i = 0; i < entries; ++i) {
  await new Promise((resolve) => setTimeout(resolve, 200));
  wanted = `marker-${i}-x`;
  missing = watchers;
  const before = bytes;
  const done = new Promise((resolve) => (all = resolve));
  const begun = performance.now();
  seen = await post(`note ${wanted}`, seen);
  await done;
  times.push(performance.now() - begun);
  await new Promise((resolve) => setTimeout(resolve, 60));
  sizes.push((bytes - before) / watchers);
}
const cpu = (worked() - cpuBefore) / entries;
times.sort((a, b) => a - b);
const at = (share) => times[Math.min(times.length - 1, Math.floor(share * times.length))].toFixed(0);
console.log(`node bench/watchers.mjs ${watchers} ${entries}\n${os.cpus().length} x ${os.cpus()[0].model}, load ${os.loadavg()[0].toFixed(1)}`);
console.log(`| watchers | p50 ms | p90 ms | p99 ms | worst ms | kB to each | server CPU ms |\n| --- | --- | --- | --- | --- | --- | --- |`);
console.log(`| ${watchers} | ${at(0.5)} | ${at(0.9)} | ${at(0.99)} | ${at(1)} | ${(sizes.reduce((a, b) => a + b, 0) / sizes.length / 1000).toFixed(1)} | ${cpu.toFixed(0)} |`);
for (const socket of sockets) socket.destroy();
server.kill('SIGTERM');
rmSync(scratch, { recursive: true, force: true });
