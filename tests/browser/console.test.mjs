// The console in a real browser, against the real program and the demo outing.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { join } from 'node:path';
import { goOutside, launch, openPage, pageReady, recordOf, shots, startDay, withDay as dayWith, writeLine } from './harness.mjs';

let browser;
before(async () => { browser = await launch(); });
after(async () => { await browser.close(); });

const withDay = (body, how) => dayWith(browser, body, how);
const inRecord = (page, words) => page.getByTestId('record').getByText(words).first().waitFor();

test('the first sight answers: PET, both crew, next, the plan, the caution; nothing is asked of anybody else', () =>
  withDay(async ({ page, complaints, asked, day }) => {
    assert.match(await page.getByTestId('pet').innerText(), /^00:0\d:\d\d$/);
    for (const id of ['EV1', 'EV2']) {
      assert.notEqual((await page.getByTestId(`${id}-now`).innerText()).trim(), '');
      assert.match(await page.getByTestId(`${id}-next`).innerText(), /Next:/);
    }
    assert.match(await page.getByTestId('behind').innerText(), /ahead|on time|behind/);
    assert.ok(await page.getByTestId('timeline').isVisible());
    assert.ok(await page.getByText('Certified consumables computations', { exact: false }).isVisible());
    assert.deepEqual(complaints, []);
    assert.deepEqual([...asked], [new URL(day.url).host]);
  }));

test('the clock ticks on the server’s time, not on this machine’s', () =>
  withDay(async ({ page }) => {
    const first = await page.getByTestId('pet').innerText();
    await page.waitForFunction((text) => document.querySelector('[data-testid=pet]')?.textContent !== text, first);
    assert.match(await page.locator('.clock').innerText(), /2031-04-05/);
  }));

test('one key each starts and finishes a step for each crew member', () =>
  withDay(async ({ page, day }) => {
    for (const [id, start, finish] of [['EV1', 'a', 's'], ['EV2', 'k', 'l']]) {
      await page.keyboard.press(start);
      await page.locator(`[aria-label^="${id},"] button:not(:disabled)`, { hasText: 'finished' }).waitFor();
      await inRecord(page, new RegExp(`${id} started`));
      await page.keyboard.press(finish);
      await inRecord(page, new RegExp(`${id} finished|finished`));
      await page.locator(`[aria-label^="${id},"] button:disabled`, { hasText: 'finished' }).waitFor();
    }
    const kinds = (await recordOf(day.url)).map((entry) => entry.kind);
    assert.equal(kinds.filter((kind) => kind === 'step_started').length, 2);
    assert.equal(kinds.filter((kind) => kind === 'step_finished').length, 2);
  }));

test('the day moves on by one key: PET zero, egress done', () =>
  withDay(
    async ({ page }) => {
      await page.keyboard.press('n');
      await inRecord(page, 'PET zero');
      await page.getByRole('button', { name: /Egress done/ }).waitFor();
      await page.keyboard.press('n');
      await inRecord(page, /egress done/);
      assert.equal(await page.getByTestId('phase').innerText(), 'work');
    },
    { outside: false },
  ));

test('a typed line is completed, written, and taken back by one key', () =>
  withDay(async ({ page, day }) => {
    await page.keyboard.press('/');
    await page.keyboard.type('not');
    await page.keyboard.press('Tab');
    await page.keyboard.type('the glove looks worn');
    await page.keyboard.press('Enter');
    await inRecord(page, /the glove looks worn/);
    await page.keyboard.press('Escape');
    await page.keyboard.press('u');
    await page.getByTestId('record').getByText('(taken back)').waitFor();
    assert.ok((await recordOf(day.url)).some((entry) => entry.struck));
  }));

test('a line that is not understood says so in a sentence, stays to be changed, and writes nothing', () =>
  withDay(async ({ page, day }) => {
    const before = (await recordOf(day.url)).length;
    await page.keyboard.press('/');
    await page.keyboard.type('finished nothing.at.all');
    await page.keyboard.press('Enter');
    await page.getByTestId('queue').getByText(/There is no step/).waitFor();
    await page.getByTestId('queue').getByRole('button', { name: 'change it' }).click();
    assert.equal(await page.locator('#line').inputValue(), 'finished nothing.at.all');
    assert.equal((await recordOf(day.url)).length, before);
  }));

test('what another lead writes appears without anybody asking', () =>
  withDay(async ({ page, day }) => {
    await writeLine(day.url, 'note from the other building');
    await inRecord(page, /from the other building/);
  }));

test('hold and resume; a private hold shows its time and never its reason', () =>
  withDay(async ({ page, day }) => {
    await page.keyboard.press('h');
    await page.getByTestId('hold').waitFor();
    await page.keyboard.press('h');
    await page.getByTestId('hold').waitFor({ state: 'detached' });
    await writeLine(day.url, 'hold private planted-marker-7311');
    await page.getByTestId('hold').waitFor();
    for (const path of ['', 'api/v1/status', 'api/v1/record', 'api/v1/options', 'api/v1/outing', 'api/v1/timeline.svg'])
      assert.ok(!(await (await fetch(new URL(path, day.url))).text()).includes('planted-marker'), path);
    assert.ok(!(await page.content()).includes('planted-marker'));
  }));

test('a page whose server has gone silent says so in large type, queues entries, and delivers them once', () =>
  withDay(
    async ({ page, day, wire }) => {
      wire.cut();
      const banner = page.getByTestId('stale');
      await banner.waitFor();
      assert.ok((await banner.evaluate((element) => parseFloat(getComputedStyle(element).fontSize))) >= 24);
      await page.keyboard.press('/');
      await page.keyboard.type('note written in the dark');
      await page.keyboard.press('Enter');
      await page.getByTestId('queue').getByText(/queued/).waitFor();
      wire.mend();
      await banner.waitFor({ state: 'detached' });
      await inRecord(page, /written in the dark/);
      await page.getByTestId('queue').waitFor({ state: 'detached' });
      const found = (await recordOf(day.url)).filter((entry) => entry.words.includes('written in the dark'));
      assert.equal(found.length, 1);
    },
    { wire: true },
  ));

test('a queued entry survives a reload of the page', () =>
  withDay(
    async ({ page, wire }) => {
      wire.cut();
      await page.getByTestId('stale').waitFor();
      await page.keyboard.press('/');
      await page.keyboard.type('note kept over a reload');
      await page.keyboard.press('Enter');
      await page.getByTestId('queue').waitFor();
      wire.mend();
      page.on('dialog', (dialog) => void dialog.accept());
      await page.reload();
      await inRecord(page, /kept over a reload/);
    },
    { wire: true },
  ));

test('two leads in conflict: the later one sees what was written and decides', () =>
  withDay(
    async ({ page, day, wire }) => {
      wire.cut();
      await page.getByTestId('stale').waitFor();
      await page.keyboard.press('/');
      await page.keyboard.type('note from the first lead');
      await page.keyboard.press('Enter');
      await page.getByTestId('queue').getByText(/queued/).waitFor();
      await writeLine(day.url, 'note from the second lead');
      wire.mend();
      await page.getByTestId('queue').getByText(/Somebody wrote since/).waitFor();
      await inRecord(page, /from the second lead/);
      assert.ok(!(await recordOf(day.url)).some((entry) => entry.words.includes('from the first lead')));
      await page.getByRole('button', { name: 'send it all the same' }).click();
      await inRecord(page, /from the first lead/);
    },
    { wire: true },
  ));

test('options are worked out, and adopting one by keyboard names its consequences first', () =>
  withDay(async ({ page, day }) => {
    await page.keyboard.press('o');
    const dialog = page.getByRole('dialog', { name: 'Ways on from here' });
    const adopt = dialog.getByRole('button', { name: 'adopt…' });
    await adopt.first().waitFor();
    await adopt.first().focus();
    await page.keyboard.press('Enter');
    await dialog.getByText('It becomes the plan for everyone at once', { exact: false }).waitFor();
    assert.equal(await page.evaluate(() => document.activeElement?.textContent), 'adopt it');
    assert.ok(!(await recordOf(day.url)).some((entry) => entry.kind === 'plan_adopted'));
    await page.keyboard.press('Enter');
    await dialog.waitFor({ state: 'hidden' });
    assert.ok((await recordOf(day.url)).some((entry) => entry.kind === 'plan_adopted'));
  }));

test('the timeline is moved, zoomed and read by keyboard alone', () =>
  withDay(async ({ page }) => {
    const timeline = page.getByTestId('timeline');
    await timeline.focus();
    const name = () => timeline.getAttribute('aria-label');
    const before = await name();
    await page.keyboard.press('ArrowRight');
    const moved = await name();
    assert.notEqual(moved, before);
    await page.keyboard.press('+');
    assert.notEqual(await name(), moved);
    await page.keyboard.press('Home');
    await page.keyboard.press('ArrowDown');
    await page.locator('.picked-words', { hasText: 'PET' }).waitFor();
    await page.keyboard.press('End');
  }));

test('everything is reached by Tab, and nothing holds the focus', () =>
  withDay(async ({ page }) => {
    const seen = new Set();
    for (let i = 0; i < 80; ++i) {
      await page.keyboard.press('Tab');
      seen.add(await page.evaluate(() => document.activeElement?.id || document.activeElement?.getAttribute('data-testid') || document.activeElement?.textContent?.trim().slice(0, 24)));
    }
    for (const wanted of ['line', 'author', 'timeline', 'record']) assert.ok(seen.has(wanted), `${wanted} in ${[...seen].join(' | ')}`);
    assert.ok([...seen].some((text) => text?.includes('options')));
  }));

test('one-key entries can be turned off', () =>
  withDay(async ({ page, day }) => {
    await page.keyboard.press('?');
    await page.getByRole('checkbox').uncheck();
    await page.keyboard.press('Escape');
    const before = (await recordOf(day.url)).length;
    await page.keyboard.press('h');
    await page.keyboard.press('o');
    await page.getByRole('dialog').waitFor();
    assert.equal((await recordOf(day.url)).length, before);
  }));

test('the page fits its window from a phone to a wall screen', async () => {
  const day = await startDay();
  await goOutside(day.url);
  try {
    for (const [width, height] of [[390, 844], [1280, 720], [1920, 1080]]) {
      const { page, close } = await openPage(browser, day.url, { width, height });
      await pageReady(page);
      await page.getByTestId('timeline').waitFor();
      for (const [tab, name] of [['1', 'timeline'], ['2', 'map'], ['3', 'suits']]) {
        await page.keyboard.press(tab);
        await (name === 'suits' ? page.getByRole('group', { name: 'Suits', exact: true }) : page.getByTestId(name)).waitFor();
        const over = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
        assert.ok(over <= 0, `${name} at ${width}: ${over} pixels too wide`);
        // When they are home and what is left must be readable whole; what has no room is left away, not cut: a name too, beside
        // a long place and how late they are (EV1 and EV2 stand there all the same).
        const cut = await page.evaluate(() =>
          [...document.querySelectorAll('.standing .aside, .crew .name, .gauge .words p')]
            .filter((one) => one.offsetParent && one.scrollWidth > one.clientWidth + 1 && getComputedStyle(one).display !== 'inline')
            .map((one) => one.textContent.trim()));
        assert.deepEqual(cut, [], `${name} at ${width}`);
        await page.screenshot({ path: join(shots, `${name}-${width}.png`), fullPage: width < 1000 });
      }
      await close();
    }
  } finally {
    await day.stop();
  }
});
