// What the hand needs: nothing moves under it, fingers and keys work everywhere, and what is adopted was read before.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { launch, recordOf, withDay as dayWith, writeLine } from './harness.mjs';
import { fitsAcross, keep, noSeriousFinding } from './pictures.mjs';

let browser;
before(async () => { browser = await launch(); });
after(async () => { await browser.close(); });

const withDay = (body, how) => dayWith(browser, body, how);
/** Where the things are that a lead is about to click, to the pixel. */
const places = (page) =>
  page.evaluate(() =>
    [...document.querySelectorAll('section.crew button, .tabs button, #line, [data-testid=timeline]')].map((one) => {
      const box = one.getBoundingClientRect();
      return `${(one.id || one.textContent.trim() || one.dataset.testid).slice(0, 9).trim()} ${Math.round(box.left)} ${Math.round(box.top)}`;
    }),
  );
const settled = (page) => page.evaluate(() => new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve))));

for (const [width, height] of [[1280, 720], [1920, 1080]])
  test(`nothing that is about to be clicked moves at ${width}: a step begins, a hold comes, the server falls silent`, () =>
    withDay(
      async ({ page, day, wire }) => {
        await settled(page);
        const before = await places(page);
        assert.ok(before.length > 8);
        await page.keyboard.press('a');
        await page.getByRole('progressbar').first().waitFor();
        assert.deepEqual(await places(page), before, 'a step is running');
        await writeLine(day.url, 'hold because of something that takes a good many words to tell');
        await page.getByTestId('hold').waitFor();
        assert.deepEqual(await places(page), before, 'work is held');
        wire.cut();
        await page.getByTestId('stale').waitFor();
        assert.deepEqual(await places(page), before, 'not up to date');
        await keep(page, `stale-and-held-${width}`);
        wire.mend();
        await page.getByTestId('stale').waitFor({ state: 'detached' });
        assert.deepEqual(await places(page), before, 'live again');
      },
      { wire: true, width, height },
    ));

test('what is read first is never cut: hours behind, before PET zero, names of steps', () =>
  withDay(
    async ({ page, day }) => {
      const cut = () => page.evaluate(() =>
        [...document.querySelectorAll('.standing .big, .standing .huge, section.crew .title, section.crew .behind')]
          .filter((one) => one.scrollWidth > one.clientWidth + 1).map((one) => one.textContent.trim()));
      assert.deepEqual(await cut(), []);
      await writeLine(day.url, 'slip 100 min');
      await page.getByTestId('behind').getByText(/1 h \d+ min/).waitFor();
      assert.deepEqual(await cut(), []);
      await writeLine(day.url, 'pet zero');
      await writeLine(day.url, 'egress done');
      const step = (await (await fetch(new URL('api/v1/status', day.url))).json()).forecast.activities
        .filter((one) => one.label && one.lanes.includes('EV1')).sort((a, b) => b.title.length - a.title.length)[0];
      await writeLine(day.url, `started ${step.label}`);
      await page.getByTestId('EV1-now').getByRole('progressbar').waitFor();
      assert.deepEqual(await cut(), []);
    },
    { outside: false },
  ));

test('two fingers zoom the timeline, one moves it', () =>
  withDay(async ({ page }) => {
    const timeline = page.getByTestId('timeline');
    const box = await timeline.boundingBox();
    const touch = await page.context().newCDPSession(page);
    const put = (type, ...xs) => touch.send('Input.dispatchTouchEvent', { type, touchPoints: xs.map((x, id) => ({ x: box.x + x, y: box.y + 60, id })) });
    const shown = async () => {
      const [from, to] = (await timeline.getAttribute('aria-label')).match(/PET (\S+) to (\S+)\./).slice(1).map((text) => {
        const [h, m] = text.replace('−', '').split(':').map(Number);
        return (text.startsWith('−') ? -1 : 1) * (60 * h + m);
      });
      return { from, length: to - from };
    };
    const before = await shown();
    await put('touchStart', 300, 400);
    for (let i = 1; i <= 10; ++i) await put('touchMove', 300 - 15 * i, 400 + 15 * i);
    await put('touchEnd');
    const nearer = await shown();
    assert.ok(nearer.length < 0.6 * before.length, `${nearer.length} of ${before.length} min`);
    await put('touchStart', 500);
    for (let i = 1; i <= 10; ++i) await put('touchMove', 500 - 20 * i);
    await put('touchEnd');
    const moved = await shown();
    assert.ok(moved.from > nearer.from + 5 && Math.abs(moved.length - nearer.length) <= 1, `${moved.from} after ${nearer.from} min`);
  }));

test('the page’s keys work from within a document that was clicked', () =>
  withDay(async ({ page, day }) => {
    await page.keyboard.press('4');
    const paper = page.frameLocator('iframe').locator('body');
    await paper.getByText('Certified consumables computations', { exact: false }).first().waitFor();
    await paper.click();
    assert.equal(await page.evaluate(() => document.activeElement?.tagName), 'IFRAME');
    await page.keyboard.press('h');
    await page.getByTestId('hold').waitFor();
    assert.equal((await recordOf(day.url)).filter((entry) => entry.kind === 'hold').length, 1);
    await page.keyboard.press('1');
    await page.getByTestId('timeline').waitFor();
  }));

test('coming in is chosen knowing the way: who does what, what stays open and outside; it is written as such and taken back', () =>
  withDay(async ({ page, day }) => {
    await page.keyboard.press('o');
    const dialog = page.getByRole('dialog', { name: 'Ways on from here' });
    const options = await (await fetch(new URL('api/v1/options', day.url))).json();
    const way = options.options.find((one) => one.stand_down?.line === 'terminate');
    const card = dialog.getByLabel(way.title, { exact: true });
    await card.getByText(`Who does what until everyone is in (${way.stand_down.steps.length} steps)`).click();
    assert.equal(await card.locator('.home ol li').count(), way.stand_down.steps.length);
    await card.getByText('hatch closed', { exact: false }).first().waitFor();
    await card.getByRole('button', { name: 'adopt…' }).click();
    const sure = dialog.getByRole('group', { name: `Adopt: ${way.title}` });
    await sure.getByText('It is written as “terminate”', { exact: false }).waitFor();
    // All of it is in sight, not only the button.
    for (const line of await sure.locator('li').all()) {
      const [line_, box] = [await line.boundingBox(), await dialog.boundingBox()];
      assert.ok(line_.y >= box.y && line_.y + line_.height <= box.y + box.height, await line.innerText());
    }
    await keep(page, 'come-in-confirm');
    await noSeriousFinding(page, 'come in');
    await sure.getByRole('button', { name: 'adopt it' }).click();
    await page.getByTestId('stand-down').waitFor();
    await page.keyboard.press('u');
    await page.getByTestId('stand-down').waitFor({ state: 'detached' });
  }));

test('the same thing stands at the same height in every way on', () =>
  withDay(async ({ page }) => {
    await page.keyboard.press('o');
    const dialog = page.getByRole('dialog', { name: 'Ways on from here' });
    await dialog.getByRole('button', { name: 'adopt…' }).first().waitFor();
    for (const name of ['inside at', 'tightest', 'value']) {
      const heights = await dialog.locator('dt', { hasText: name }).evaluateAll((all) => [...new Set(all.map((one) => Math.round(one.closest('div').getBoundingClientRect().top)))]);
      assert.equal(heights.length, 1, name);
    }
  }));

for (const theme of ['light', 'dark', 'contrast'])
  test(`axe has no serious finding in the ${theme} theme: the morning, after a scrub, not up to date`, () =>
    withDay(
      async ({ page, day, wire }) => {
        await page.getByTestId('morning').waitFor();
        await noSeriousFinding(page, 'morning');
        await writeLine(day.url, 'scrub weather at the pool');
        await page.getByTestId('stand-down').waitFor();
        await noSeriousFinding(page, 'scrub');
        await page.getByTestId('morning').waitFor({ state: 'detached' });
        wire.cut();
        await page.getByTestId('stale').waitFor();
        await noSeriousFinding(page, 'stale');
      },
      { outside: false, wire: true, theme, asIf: '2031-04-05T07:20:00Z' },
    ));

test('on a phone the record, both crew and the timeline are of use, and banners push nothing', () =>
  withDay(
    async ({ page, day }) => {
      assert.ok(await fitsAcross(page));
      const at = () => page.getByRole('button', { name: /started/ }).first().boundingBox();
      await page.getByText(/8 in 10/).first().waitFor(); // the odds are there: nothing more is to come
      const before = await at();
      await writeLine(day.url, 'hold');
      await page.getByTestId('hold').waitFor();
      assert.ok(Math.abs((await at()).y - before.y) < 2);
      assert.ok((await page.getByTestId('record').boundingBox()).height > 100);
      assert.ok((await page.getByTestId('timeline').boundingBox()).height > 200);
      await page.getByRole('button', { name: 'options' }).click();
      await page.getByRole('button', { name: 'adopt…' }).first().waitFor();
      assert.ok(await fitsAcross(page));
      await keep(page, 'options-phone');
    },
    { width: 390, height: 844 },
  ));
