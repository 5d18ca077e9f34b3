// The console in a real browser: cold first view, script size, frames while a long timeline is moved, memory after nine
// hours of events.
//   node bench/console.mjs
// Starts the real program; a small server between it and the page gives the page a made-up long day (1,000 blocks in
// 12 h) and a whole day's events in minutes. Needs the browser tests' packages (npm --prefix web ci) and Chromium.
import http from 'node:http';
import { readdirSync, readFileSync } from 'node:fs';
import os from 'node:os';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { chromium, goOutside, root, startDay } from '../tests/browser/harness.mjs';

const percentile = (list, share) => [...list].sort((a, b) => a - b)[Math.min(list.length - 1, Math.floor(share * list.length))];
const day = await startDay({ asIf: '2031-04-05T08:50:00Z' });
await goOutside(day.url);
const status = await (await fetch(new URL('api/v1/status', day.url))).json();

/** 12 h, 1,000 blocks over five lanes: invented, as crowded as a timeline can be. */
function longDay(from) {
  const lanes = [['EV1'], ['EV2'], ['arm'], ['IV'], ['ground']];
  const activities = [];
  for (const lane of lanes)
    for (let i = 0; i < 200; ++i)
      activities.push({ ...from.forecast.activities[0], kind: 'step', lanes: lane, start_s: i * 216, duration_s: 200, title: `Task ${i}: step of ${lane[0]} number ${i}`, label: `t.${lane[0]}.${i}`, status: 'to_do' });
  return { ...from, forecast: { ...from.forecast, activities }, plan: { ...from.plan, activities }, as_run: [], finish: { ...from.finish, limit_pet_s: 12 * 3600 } };
}
let shown = longDay(status);
let stream = null;
const between = http.createServer(async (request, response) => {
  if (request.url === '/api/v1/events') {
    response.writeHead(200, { 'Content-Type': 'text/event-stream', 'Cache-Control': 'no-store' });
    response.write(`event: status\ndata: ${JSON.stringify(shown)}\n\n`);
    stream = response;
    return;
  }
  const answer = await fetch(new URL(request.url, day.url));
  response.writeHead(answer.status, Object.fromEntries([...answer.headers].filter(([name]) => !['content-encoding', 'content-length', 'transfer-encoding', 'connection'].includes(name))));
  response.end(Buffer.from(await answer.arrayBuffer()));
});
await new Promise((resolve) => between.listen(0, '127.0.0.1', resolve));
const fake = `http://127.0.0.1:${between.address().port}/`;

const flags = ['--headless', '--no-sandbox', '--disable-gpu', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync', '--js-flags=--expose-gc'];
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: flags });
async function open(url) {
  const context = await browser.newContext({ viewport: { width: 1920, height: 1080 } });
  await context.addInitScript(() => localStorage.setItem('handrail.tour', 'seen'));
  const page = await context.newPage();
  const begun = performance.now();
  await page.goto(url);
  await page.getByTestId('pet').waitFor();
  return { page, took: performance.now() - begun, context };
}

const cold = [];
for (let i = 0; i < 7; ++i) {
  const { context, took } = await open(day.url);
  cold.push(took);
  await context.close();
}
const assets = join(root, 'web/dist/assets');
const html = readFileSync(join(root, 'web/dist/index.html'), 'utf8');
const scripts = readdirSync(assets).filter((name) => name.endsWith('.js'));
const size = (names) => names.reduce((sum, name) => sum + gzipSync(readFileSync(join(assets, name)), { level: 9 }).length, 0) / 1000;

const { page } = await open(fake);
await page.getByTestId('timeline').focus();
await page.keyboard.press('Home');
const box = await page.getByTestId('timeline').boundingBox();
const metrics = await page.context().newCDPSession(page);
await metrics.send('Performance.enable');
const scripted = async () => (await metrics.send('Performance.getMetrics')).metrics.find((one) => one.name === 'ScriptDuration').value * 1000;
await page.keyboard.press('+');
await page.keyboard.press('+');
/** Times between 298 frames while `move` goes on, and the script run for each of them. */
async function framesWhile(move) {
  const before = await scripted();
  const recorded = page.evaluate(() => new Promise((resolve) => {
    const frames = [];
    let last = performance.now();
    const tick = (now) => {
      frames.push(now - last);
      last = now;
      if (frames.length < 300) requestAnimationFrame(tick);
      else resolve(frames.slice(2));
    };
    requestAnimationFrame(tick);
  }));
  let moving = true;
  void recorded.then(() => (moving = false));
  for (let i = 0; moving; ++i) await move(i);
  const frames = await recorded;
  // What the page itself works for each frame, whatever else the machine does between two of them.
  return { frames, worked: ((await scripted()) - before) / frames.length };
}
await page.mouse.move(box.x + 900, box.y + 40);
await page.mouse.down();
const dragged = await framesWhile((i) => page.mouse.move(box.x + 900 + 500 * Math.sin(i / 25), box.y + 40));
await page.mouse.up();
// From end to end and back, farther than what is painted at once.
const swept = await framesWhile((i) => page.mouse.wheel(Math.floor(i / 60) % 2 ? -30 : 30, 0));
const heap = async () => {
  await page.evaluate(() => globalThis.gc?.());
  return (await page.evaluate(() => performance.memory.usedJSHeapSize)) / 1e6;
};
shown = status;
const first = await heap();
const hours = 9;
// A change every five seconds, a beat every two, an entry every two minutes: as the server sends them.
for (let s = 0; s < hours * 3600; s += 5) {
  const pet = status.pet_s + s;
  const set = { pet_s: pet, utc: new Date(Date.parse(status.utc) + s * 1000).toISOString(), forecast: { ...status.forecast, finish_pet_s: 20000 + (s % 300) } };
  const entries = s % 120 === 0 ? [{ ...status.record.at(-1), position: 10 + s / 120, words: `entry ${s / 120} of a long day` }] : [];
  stream.write(`id: ${10 + Math.floor(s / 120)}\nevent: change\ndata: ${JSON.stringify({ set, entries })}\n\n`);
  if (s % 2 === 0) stream.write(`event: beat\ndata: ${JSON.stringify({ utc: new Date().toISOString(), position: 10 })}\n\n`);
  if (s % 500 === 0) await new Promise((resolve) => setTimeout(resolve, 20));
}
await page.waitForFunction((words) => document.body.innerText.includes(words), `entry ${(hours * 3600) / 120 - 1} of a long day`, { timeout: 60_000 });
const last = await heap();

console.log(`node bench/console.mjs\n${os.cpus().length} x ${os.cpus()[0].model}, load ${os.loadavg()[0].toFixed(1)}, Chromium ${browser.version()} without a graphics card`);
console.log('| what | measured |\n| --- | --- |');
console.log(`| first view on a cold load, median and worst of ${cold.length} | ${percentile(cold, 0.5).toFixed(0)} ms, ${Math.max(...cold).toFixed(0)} ms |`);
console.log(`| script, gzipped: at first, with all that loads later | ${size(scripts.filter((name) => html.includes(name))).toFixed(0)} kB, ${size(scripts).toFixed(0)} kB |`);
for (const [how, { frames, worked }] of [['dragged', dragged], ['swept from end to end', swept]])
  console.log(`| timeline ${how}, 12 h with 1,000 blocks: time between frames, p50, p95 and p99 of ${frames.length}; script run for each | ${[0.5, 0.95, 0.99].map((share) => `${percentile(frames, share).toFixed(1)} ms`).join(', ')}; ${worked.toFixed(1)} ms |`);
console.log(`| JavaScript heap before and after ${hours} h of events | ${first.toFixed(1)} MB, ${last.toFixed(1)} MB |`);
await browser.close();
between.close();
between.closeAllConnections();
await day.stop();
process.exit(0);
