// The public page: what everyone may know, and not a byte more.
import assert from 'node:assert/strict';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { goOutside, openPage, root, startDay, startWire, writeLine } from './harness.mjs';
import { drawnAs, fitsAcross, keep, launchFlat, launchWithSpace, noSeriousFinding, sizes } from './pictures.mjs';

const token = (role) => `${role}-token-0123456789-abcdefgh`;
const tokens = ['lead', 'console', 'medical', 'public'].map((role) => `${role} ${token(role)}\n`).join('');
const bearer = (role) => ({ headers: { Authorization: `Bearer ${token(role)}` } });
const marker = 'planted-marker-5582';

let browser;
before(async () => { browser = await launchWithSpace(); });
after(async () => { await browser.close(); });

/** A day in which everything that can be said privately is. */
async function fullDay() {
  const day = await startDay({ tokens });
  const say = (line) => writeLine(day.url, line, bearer('lead'));
  await say('pet zero');
  await say('egress done');
  await say(`note ${marker}`);
  await say(`decision ${marker}`);
  await say('reading EV1 oxygen 0.5 kg');
  await say(`hold private ${marker}`);
  return { day, say };
}
async function events(day, role, until) {
  const stop = new AbortController();
  const answer = await fetch(new URL('api/v1/everyone/events', day.url), { ...bearer(role), signal: stop.signal });
  let text = '';
  for await (const piece of answer.body) {
    text += Buffer.from(piece).toString('utf8');
    if (until(text)) break;
  }
  stop.abort();
  return text;
}

test('no byte of the feed holds what was not released, whoever asks', async () => {
  const { day } = await fullDay();
  try {
    for (const role of ['lead', 'console', 'medical', 'public']) {
      const text = await (await fetch(new URL('api/v1/everyone', day.url), bearer(role))).text();
      const stream = await events(day, role, (all) => all.includes('event: beat'));
      for (const [where, bytes] of [['feed', text], ['events', stream]])
        for (const never of [marker, 'medical', 'margin', 'turn_back', 'oxygen', 'behind', 'forecast', 'author', 'position'])
          assert.ok(!bytes.includes(never), `${role} ${where} ${never}`);
      assert.ok(!/^id:/m.test(stream), 'events carry no journal position');
      assert.equal(JSON.parse(text).on_hold_since_pet_s !== null, true);
    }
  } finally {
    await day.stop();
  }
});

test('no byte of the bundle belongs to the console', async () => {
  const day = await startDay();
  try {
    const folder = join(root, 'web/dist/public');
    const scripts = readdirSync(join(folder, 'assets')).filter((name) => name.endsWith('.js'));
    assert.equal(scripts.length, 2, 'the page, and the map in space');
    for (const name of [...scripts.map((one) => `assets/${one}`), 'index.html']) {
      const served = await (await fetch(new URL(`public/${name === 'index.html' ? '' : name}`, day.url))).text();
      assert.equal(served, readFileSync(join(folder, name), 'utf8'), 'what is built is what is served');
      for (const never of ['/api/v1/entries', '/api/v1/adopt', '/api/v1/options', '/api/v1/status', '/api/v1/record', '/api/v1/outing', '/api/v1/walk-through', 'turn_back', 'tightest', 'private', 'medical', 'Ways on', 'prebreathe break'])
        if (!(never === 'private' && name.includes('space'))) assert.ok(!served.includes(never), `${name} ${never}`);
    }
    assert.equal((await fetch(new URL('public', day.url), { redirect: 'manual' })).status, 308);
  } finally {
    await day.stop();
  }
});

test('the public is led from the console’s address to its own page', async () => {
  const { day } = await fullDay();
  const { page, asked, close } = await openPage(browser, day.url);
  try {
    await page.getByLabel('Token').fill(token('public'));
    await page.keyboard.press('Enter');
    await page.waitForURL('**/public/');
    await page.getByTestId('headline').waitFor();
    const content = (await page.content()).toLowerCase();
    for (const never of [marker, 'turn back', 'margin', 'medical', 'ahead', 'behind']) assert.ok(!content.includes(never), never);
    assert.deepEqual([...asked], [new URL(day.url).host]);
  } finally {
    await close();
    await day.stop();
  }
});

test('the page asks for nothing but what everyone may know, even for the lead', async () => {
  const day = await startDay();
  const context = await browser.newContext();
  const page = await context.newPage();
  const paths = new Set();
  page.on('request', (request) => request.url().includes('/api/') && paths.add(new URL(request.url()).pathname));
  try {
    await page.goto(new URL('public/', day.url).href);
    await page.getByTestId('headline').waitFor();
    assert.deepEqual([...paths].sort(), ['/api/v1/everyone', '/api/v1/everyone/events']);
  } finally {
    await context.close();
    await day.stop();
  }
});

test('it says what happens and what comes next, shows holds neutrally, and lines that were released', async () => {
  const day = await startDay();
  await goOutside(day.url);
  const { page, complaints, close } = await openPage(browser, new URL('public/', day.url).href);
  try {
    await page.getByTestId('headline').getByText('The crew are at work outside.').waitFor();
    await drawnAs(page, 'space');
    assert.match(await page.getByLabel('What is happening').innerText(), /The station is in daylight\. Night comes in \d+ min\./);
    assert.match(await page.getByLabel('What is happening').innerText(), /0 of \d+ jobs done/);
    assert.equal(await page.getByLabel('The crew').getByText('Next:').count(), 2);
    await writeLine(day.url, 'hold private not for them');
    await page.getByText('Work is on hold for the moment.').waitFor();
    await page.getByText('Work was put on hold.').waitFor();
    await writeLine(day.url, 'resume');
    await page.getByText('Work is on hold for the moment.').waitFor({ state: 'detached' });
    await writeLine(day.url, 'public The airlock hatch is open.');
    await page.getByText('hatch', { exact: false }).first().waitFor();
    await keep(page, 'public-day');
    await writeLine(day.url, 'terminate not for them either');
    await page.getByTestId('headline').getByText('The crew are on their way back in.').waitFor();
    assert.ok(!(await page.content()).includes('not for them'));
    assert.deepEqual(complaints, []);
  } finally {
    await close();
    await day.stop();
  }
});

test('a day that is called off says so, and not why', async () => {
  const day = await startDay({ asIf: '2031-04-05T07:20:00Z' });
  const { page, close } = await openPage(browser, new URL('public/', day.url).href);
  try {
    await page.getByTestId('headline').getByText('has not begun yet').waitFor();
    await writeLine(day.url, 'scrub planted-marker-5502');
    await page.getByTestId('headline').getByText('The spacewalk does not take place today.').waitFor();
    assert.ok(!(await page.getByLabel('What is happening').innerText()).includes('planned to begin'));
    assert.ok(!(await (await fetch(new URL('api/v1/everyone', day.url))).text()).includes('planted-marker'));
    await keep(page, 'public-called-off');
  } finally {
    await close();
    await day.stop();
  }
});

test('a word of the trade is explained where it is first read, by mouse and keyboard', async () => {
  const day = await startDay();
  await goOutside(day.url);
  const { page, close } = await openPage(browser, new URL('public/', day.url).href);
  try {
    // By its word: what comes over the feed meanwhile may put another word before it.
    const word = await page.getByRole('button', { name: /what is that/ }).first().textContent();
    const term = page.locator('button.term').filter({ hasText: word ?? '' });
    await term.focus();
    await page.keyboard.press('Enter');
    await page.getByRole('note').first().waitFor();
    assert.equal(await term.getAttribute('aria-expanded'), 'true');
    await page.keyboard.press('Enter');
    assert.equal(await page.getByRole('note').count(), 0);
    const listed = await page.getByLabel('Words on this page').locator('dt').count();
    assert.equal(await page.getByRole('button', { name: /what is that/ }).count(), listed, 'each word once');
  } finally {
    await close();
    await day.stop();
  }
});

test('a place that is touched says what it is', async () => {
  const day = await startDay();
  const { page, close } = await openPage(browser, new URL('public/', day.url).href);
  try {
    await page.getByRole('button', { name: /^Aft mast/ }).focus();
    await page.keyboard.press('Enter');
    await page.getByText('An antenna mast at the very back.').waitFor();
  } finally {
    await close();
    await day.stop();
  }
});

test('a page that is cut off says so and comes back', async () => {
  const day = await startDay();
  const wire = await startWire(day.url);
  const { page, close } = await openPage(browser, new URL('public/', wire.url).href);
  try {
    await page.getByTestId('headline').waitFor();
    wire.cut();
    await page.getByText('This page is not up to date', { exact: false }).waitFor();
    wire.mend();
    await page.getByText('This page is not up to date', { exact: false }).waitFor({ state: 'detached' });
  } finally {
    await close();
    wire.stop();
    await day.stop();
  }
});

test('it can be read in every theme, at every size, and without WebGL', async () => {
  const day = await startDay();
  await goOutside(day.url);
  const url = new URL('public/', day.url).href;
  const flat = await launchFlat();
  try {
    for (const theme of ['light', 'dark', 'contrast']) {
      const { page, close } = await openPage(browser, url, { theme });
      await page.getByTestId('headline').waitFor();
      await drawnAs(page, 'space');
      await noSeriousFinding(page, `public page, ${theme}`);
      await keep(page, `public-${theme}`);
      await close();
    }
    for (const [name, width, height] of [...sizes, ['narrow', 320, 640]]) {
      const { page, close } = await openPage(browser, url, { width, height });
      await page.getByTestId('headline').waitFor();
      await drawnAs(page, 'space');
      assert.ok(await fitsAcross(page), `${name}: nothing is cut off at the side`);
      await keep(page, `public-${name}`);
      await close();
    }
    const { page, close } = await openPage(flat, url, { width: 390, height: 844 });
    await drawnAs(page, 'flat');
    await noSeriousFinding(page, 'public page, flat map');
    await close();
  } finally {
    await flat.close();
    await day.stop();
  }
});
