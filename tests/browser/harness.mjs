// What every browser test needs: the real program on a free port with a day of its own, a way to cut the connection
// to it, and a browser that talks to nothing else.
import { spawn, spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import net from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const require = createRequire(new URL('../../web/package.json', import.meta.url));
export const { chromium } = require('playwright-core');
export const { AxeBuilder } = require('@axe-core/playwright');
export const Ajv2020 = require('ajv/dist/2020').default;

export const root = fileURLToPath(new URL('../../', import.meta.url));
const binary = process.env.HANDRAIL_BINARY ?? join(root, 'build/release/handrail');
const outing = join(root, 'demo/larkspur/outing.toml');
export const scratch = mkdtempSync(join(tmpdir(), 'handrail-browser-'));
process.on('exit', () => rmSync(scratch, { recursive: true, force: true }));
export const shots = join(root, 'build/browser-shots');
mkdirSync(shots, { recursive: true });

if (!existsSync(binary)) throw new Error(`${binary} is missing: build it first (./start --build-only).`);

let plan = null;
/** The demo's plan, made once: few iterations, the same on any machine. */
function demoPlan() {
  if (plan) return plan;
  plan = join(scratch, 'plan.json');
  const made = spawnSync(binary, ['plan', outing, '--iterations', '200', '--seed', '1', '--quiet', '--out', plan], { encoding: 'utf8' });
  if (made.status !== 0) throw new Error(`planning the demo failed: ${made.stderr}`);
  return plan;
}

let days = 0;
/** Starts `handrail serve` with a new journal. Ends with stop(). */
export async function startDay({ asIf = '2031-04-05T08:29:00Z', tokens = null, file = outing } = {}) {
  const journal = join(scratch, `day-${++days}.handrail`);
  const args = ['serve', file, '--timeline', demoPlan(), '--journal', journal, '--port', '0', '--as-if', asIf];
  if (tokens) {
    const file = `${journal}.tokens`;
    writeFileSync(file, tokens, { mode: 0o600 });
    args.push('--tokens', file);
  }
  const child = spawn(binary, args, { stdio: ['ignore', 'pipe', 'pipe'] });
  let said = '';
  child.stderr.on('data', (data) => (said += data));
  const url = await new Promise((resolve, reject) => {
    child.stdout.once('data', (data) => resolve(String(data).split('\n')[0]));
    child.once('exit', (code) => reject(new Error(`handrail serve ended with ${code}: ${said}`)));
  });
  const stop = async () => {
    if (child.exitCode !== null) return;
    const gone = new Promise((resolve) => child.once('exit', resolve));
    child.kill('SIGTERM');
    await gone;
  };
  return { url, journal, stop, child };
}

/** A wire between page and server that can be cut. */
export async function startWire(url) {
  const target = new URL(url);
  const open = new Set();
  let whole = true;
  const server = net.createServer((socket) => {
    if (!whole) return void socket.destroy();
    const far = net.connect(Number(target.port), target.hostname);
    for (const [a, b] of [[socket, far], [far, socket]]) {
      open.add(a);
      a.on('data', (data) => whole && b.write(data));
      a.on('close', () => { open.delete(a); b.destroy(); });
      a.on('error', () => a.destroy());
    }
  });
  await new Promise((resolve) => server.listen(0, '127.0.0.1', resolve));
  return {
    url: `http://127.0.0.1:${server.address().port}/`,
    /** Bytes stop, connections stay open: the worst kind of cut, because nobody is told. */
    cut() { whole = false; },
    mend() { whole = true; for (const socket of open) socket.destroy(); },
    stop() { for (const socket of open) socket.destroy(); server.close(); },
  };
}

/** The flags keep Chromium from calling anybody. */
export const launch = () =>
  chromium.launch({
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: ['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
  });

/** A page with its own storage. `complaints` collects whatever the console or the page's policy complains about. */
export async function openPage(browser, url, { theme = 'light', width = 1280, height = 720, tour = false } = {}) {
  const context = await browser.newContext({ viewport: { width, height } });
  await context.addInitScript((name) => localStorage.getItem('handrail.theme') ?? localStorage.setItem('handrail.theme', name), theme);
  if (!tour) await context.addInitScript(() => localStorage.setItem('handrail.tour', 'seen'));
  const page = await context.newPage();
  page.setDefaultTimeout(60_000); // for busy machines; what must be quick is measured in bench/
  const complaints = [];
  const asked = new Set();
  page.on('pageerror', (error) => complaints.push(error.message));
  page.on('console', (message) => message.type() === 'error' && complaints.push(message.text()));
  page.on('request', (request) => asked.add(new URL(request.url()).host));
  await page.goto(url);
  return { page, complaints, asked, close: () => context.close() };
}

export const pageReady = (page) => page.getByTestId('pet').waitFor();

/** Writes a line as another program would: straight to the interface. */
export async function writeLine(url, line, { author = 'second lead', headers = {} } = {}) {
  const record = await (await fetch(new URL('api/v1/record', url), { headers })).json();
  const answer = await fetch(new URL('api/v1/entries', url), {
    method: 'POST',
    headers: { 'Content-Type': 'application/json', ...headers },
    body: JSON.stringify({ line, author, seen: record.position }),
  });
  if (answer.status !== 201) throw new Error(`${line}: ${answer.status} ${await answer.text()}`);
  return answer.json();
}
/** Both outside, so that steps can be started. */
export async function goOutside(url) {
  await writeLine(url, 'pet zero');
  await writeLine(url, 'egress done');
}
export const recordOf = async (url) => (await (await fetch(new URL('api/v1/record', url))).json()).entries;
/** A day with a page on it, through a wire that can be cut if asked for; everything is closed afterwards. */
export async function withDay(browser, body, { outside = true, wire = false, asIf = undefined, ...how } = {}) {
  const day = await startDay(asIf ? { asIf } : {});
  const between = wire ? await startWire(day.url) : null;
  if (outside) await goOutside(day.url);
  const opened = await openPage(browser, between?.url ?? day.url, how);
  try {
    await pageReady(opened.page);
    await body({ ...opened, day, wire: between });
  } finally {
    await opened.close();
    between?.stop();
    await day.stop();
  }
}
