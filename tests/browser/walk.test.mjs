// The walk-through: one file that opens from disk and asks nobody, and the same player inside the console.
import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { pathToFileURL } from 'node:url';
import { openPage, pageReady, root, startDay } from './harness.mjs';
import { coloursOf, drawnAs, fitsAcross, keep, launchFlat, launchWithSpace, noSeriousFinding, sizes } from './pictures.mjs';

const binary = process.env.HANDRAIL_BINARY ?? join(root, 'build/release/handrail');
const outing = join(root, 'demo/larkspur/outing.toml');
const scratch = mkdtempSync(join(tmpdir(), 'handrail-walk-'));
const plan = join(scratch, 'plan.json');
const file = (name) => join(scratch, name);
const handrail = (...args) => spawnSync(binary, args, { encoding: 'utf8' });
const made = (name, ...more) => {
  const done = handrail('walk-through', outing, '--timeline', plan, '--out', file(name), ...more);
  assert.equal(done.status, 0, done.stderr);
  return readFileSync(file(name), 'utf8');
};

let browser;
before(async () => {
  browser = await launchWithSpace();
  assert.equal(handrail('plan', outing, '--iterations', '200', '--seed', '1', '--quiet', '--out', plan).status, 0);
  made('public.html');
  made('crew.html', '--words', 'crew');
});
after(async () => {
  await browser.close();
  rmSync(scratch, { recursive: true, force: true });
});

async function opened(name, body, { width = 1280, height = 720, by = browser, scheme = 'light', how = 'space' } = {}) {
  const context = await by.newContext({ viewport: { width, height }, colorScheme: scheme });
  const page = await context.newPage();
  page.setDefaultTimeout(15_000);
  const complaints = [];
  const asked = [];
  page.on('pageerror', (error) => complaints.push(error.message));
  page.on('console', (message) => message.type() === 'error' && complaints.push(message.text()));
  page.on('request', (request) => asked.push(request.url()));
  try {
    await page.goto(pathToFileURL(file(name)).href);
    await drawnAs(page, how);
    await body(page);
    assert.deepEqual(complaints, []);
    assert.deepEqual(asked.filter((url) => !url.startsWith('data:')), [pathToFileURL(file(name)).href], 'it asks for itself and nothing else');
  } finally {
    await context.close();
  }
}
const time = async (page) => Number(await page.getByTestId('player').getAttribute('data-t'));

test('the same plan gives the same bytes', () => {
  assert.equal(made('again.html'), readFileSync(file('public.html'), 'utf8'));
});

test('words for the crew stay out of what is handed out', () => {
  const everyone = readFileSync(file('public.html'), 'utf8');
  const crew = readFileSync(file('crew.html'), 'utf8');
  const source = readFileSync(outing, 'utf8');
  const said = [...source.matchAll(/^say = "(.+)"$/gm)].map((match) => match[1]);
  const controls = [...source.matchAll(/control = "([^"]+)"/g)].map((match) => match[1]);
  const ids = [...source.matchAll(/^id = "([a-z]+-[a-z-]+)"$/gm)].map((match) => match[1]).filter((id) => id !== 'set-up');
  assert.ok(said.length > 30 && controls.length > 5 && ids.length > 10);
  for (const words of [...said, ...controls, ...ids]) assert.ok(!everyone.includes(words), words);
  assert.ok(said.filter((words) => crew.includes(words)).length > 20, 'the crew have theirs');
  for (const page of [everyone, crew]) assert.ok(page.includes('Certified consumables computations'));
});

/** Long enough for anything that moves by itself to have moved. */
const framesPass = (page) => page.evaluate(async () => { for (let i = 0; i < 20; ++i) await new Promise((resolve) => requestAnimationFrame(resolve)); });

test('it opens from disk, draws the station and plays when told to', () =>
  opened('public.html', async (page) => {
    assert.ok((await coloursOf(page, page.getByTestId('map'))) > 150);
    assert.equal(await time(page), 0);
    await framesPass(page);
    assert.equal(await time(page), 0, 'nothing moves by itself');
    await page.getByLabel('speed').selectOption('600');
    await page.getByRole('button', { name: 'Play' }).click();
    await page.waitForFunction(() => Number(document.querySelector('[data-testid=player]').dataset.t) > 300);
    await page.getByRole('button', { name: 'Pause' }).click();
    const stopped = await time(page);
    await framesPass(page);
    assert.equal(await time(page), stopped);
  }));

test('it is led by keyboard alone: steps, minutes, ends, speed', () =>
  opened('public.html', async (page) => {
    await page.getByTestId('map').focus();
    await page.keyboard.press('n');
    const first = await time(page);
    assert.ok(first > 0);
    await page.keyboard.press('n');
    assert.ok((await time(page)) > first);
    await page.keyboard.press('p');
    assert.equal(await time(page), first);
    await page.keyboard.press('.');
    assert.equal(await time(page), first + 60);
    await page.keyboard.press('End');
    const end = await time(page);
    assert.ok(end > 3 * 3600);
    assert.equal(await page.getByText('Inside again').count(), 2);
    await page.keyboard.press('Home');
    assert.equal(await time(page), 0);
    await page.keyboard.press(']');
    assert.equal(await page.getByLabel('speed').inputValue(), '300');
    await page.keyboard.press(' ');
    await page.getByRole('button', { name: 'Pause' }).waitFor();
    await page.keyboard.press(' ');
    await page.getByLabel('Time in the plan').focus();
    const before = await time(page);
    await page.keyboard.press('ArrowRight');
    assert.ok((await time(page)) > before);
  }));

test('captions follow the plan, in words for everyone or for the crew', async () => {
  const steps = JSON.parse(readFileSync(plan, 'utf8')).activities.filter((one) => one.step === 'valve.open');
  assert.equal(steps.length, 1);
  const middle = Math.round((steps[0].start_s + steps[0].duration_s / 2) / 10) * 10;
  const at = async (page) => {
    await page.getByLabel('Time in the plan').fill(String(middle));
  };
  await opened('public.html', async (page) => {
    await at(page);
    await page.getByText('Six bolts come undone and the lid swings open.').waitFor();
    assert.equal(await page.getByText('sharp lid edge').count(), 0);
  });
  await opened('crew.html', async (page) => {
    await at(page);
    await page.getByText('Six bolts, top row first. Lid swings to the right and latches.').waitFor();
    await page.getByText('sharp lid edge', { exact: false }).waitFor();
    await page.getByText('not to be handed out', { exact: false }).waitFor();
  });
});

test('without WebGL it plays on the flat map', async () => {
  const flat = await launchFlat();
  try {
    await opened(
      'public.html',
      async (page) => {
        await page.keyboard.press('Tab');
        await page.getByRole('button', { name: 'Next step' }).click();
        assert.ok((await time(page)) > 0);
        await keep(page, 'walk-flat');
      },
      { by: flat, how: 'flat' },
    );
  } finally {
    await flat.close();
  }
});

test('it can be read in every theme and at every size', async () => {
  for (const [name, width, height] of sizes)
    await opened(
      'public.html',
      async (page) => {
        await page.getByLabel('Time in the plan').fill('9000');
        assert.ok(await fitsAcross(page), `${name}: nothing is cut off at the side`);
        await keep(page, `walk-${name}`);
      },
      { width, height },
    );
  await opened('crew.html', async (page) => {
    for (const theme of ['light', 'dark', 'contrast']) {
      await page.waitForFunction((name) => document.documentElement.dataset.theme === name, theme);
      await page.getByLabel('Time in the plan').fill('9000');
      await noSeriousFinding(page, `walk-through, ${theme}`);
      await keep(page, `walk-${theme}`);
      await page.getByRole('button', { name: /Theme/ }).click();
    }
  });
});

test('a walk-through is refused in a sentence where it cannot be made', () => {
  const refused = (...args) => {
    const done = handrail('walk-through', ...args);
    assert.equal(done.status, 2, done.stderr);
    return done.stderr;
  };
  assert.match(refused(outing, '--timeline', plan, '--out', file('x.pdf')), /end the file name with \.html/);
  assert.match(refused(outing, '--timeline', file('nothing.json'), '--out', file('x.html')), /nothing\.json/);
  assert.match(refused(join(root, 'demo/pool/outing.toml'), '--timeline', plan, '--out', file('x.html')), /./);
});

test('in the console the adopted plan is played, and kept as a page', async () => {
  const day = await startDay();
  const { page, complaints, close } = await openPage(browser, day.url);
  try {
    await pageReady(page);
    await page.keyboard.press('2');
    await page.getByRole('button', { name: 'walk-through' }).click();
    await page.getByTestId('player').waitFor();
    await page.getByLabel('Time in the plan').fill('8000');
    await noSeriousFinding(page, 'walk-through in the console');
    await page.getByRole('button', { name: 'words for the public' }).click();
    const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('link', { name: /save as a page/ }).click()]);
    assert.equal(download.suggestedFilename(), 'walk-through.html');
    const kept = readFileSync(await download.path(), 'utf8');
    assert.ok(kept.startsWith('<!doctype html>') && kept.includes('"words":"public"'));
    await keep(page, 'walk-console');
    assert.deepEqual(complaints, []);
  } finally {
    await close();
    await day.stop();
  }
});
