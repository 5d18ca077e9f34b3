// What the lead works with besides the record: the draft on the timeline, readings, the briefing, the forms, the tour.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { goOutside, launch, openPage, pageReady, recordOf, startDay, writeLine } from './harness.mjs';

let browser, day;
before(async () => {
  browser = await launch();
  day = await startDay();
  await goOutside(day.url);
});
after(async () => {
  await browser.close();
  await day.stop();
});

async function onPage(body, options = {}, where = day) {
  const opened = await openPage(browser, where.url, options);
  try {
    await pageReady(opened.page);
    await body(opened.page, opened);
    assert.deepEqual(opened.complaints, []);
  } finally {
    await opened.close();
  }
}
const statusOf = async (url) => (await fetch(new URL('api/v1/status', url))).json();

test('the first view shows the next decision and the odds once they are worked out', () =>
  onPage(async (page) => {
    await page.getByTestId('odds').getByText(/%/).first().waitFor();
    const { odds, tasks } = await statusOf(day.url);
    const [first] = odds.gates.toSorted((a, b) => (a.begin_until_pet_s ?? a.planned_pet_s) - (b.begin_until_pet_s ?? b.planned_pet_s));
    const shown = await page.getByTestId('gate').innerText();
    assert.match(shown, first.begin_until_pet_s === null ? /leave out/ : /begin by/);
    assert.ok(shown.includes(tasks.find((task) => task.id === first.task).name), shown);
  }));

test('from afar the clock fills the screen, in letters that are read at three metres', () =>
  onPage(
    async (page) => {
      await page.keyboard.press('f');
      const size = (selector) => page.locator(selector).first().evaluate((element) => parseFloat(getComputedStyle(element).fontSize));
      assert.ok((await size('[data-testid=pet]')) >= 120);
      assert.ok((await size('[data-testid=behind]')) >= 50);
      assert.ok((await page.evaluate(() => document.documentElement.scrollHeight)) <= 1080);
      await page.keyboard.press('f');
      await page.getByTestId('timeline').waitFor();
    },
    { width: 1920, height: 1080 },
  ));

test('a reading is two keystrokes and a number', () =>
  onPage(async (page) => {
    const before = (await recordOf(day.url)).length;
    await page.keyboard.press('d');
    await page.keyboard.press('b');
    await page.keyboard.type('97 %');
    await page.keyboard.press('Enter');
    await page.getByTestId('record').getByText(/battery/).first().waitFor();
    assert.equal((await recordOf(day.url)).length, before + 1);
    await page.keyboard.press('3');
    await page.getByRole('img', { name: /EV1 Battery: .* 1 readings/ }).waitFor();
    // The charts are drawn one after the other.
    await page.locator('.chart canvas').nth(7).waitFor();
  }));

test('a step is drafted by keyboard, the checker answers, and nothing is written until it is adopted', () =>
  onPage(async (page) => {
    const before = await statusOf(day.url);
    await page.keyboard.press('e');
    const timeline = page.getByTestId('timeline');
    await timeline.focus();
    for (let i = 0; i < 150 && !/Bolt|Free|Release|Carry/.test(await page.locator('.picked-words').innerText()); ++i) await page.keyboard.press('ArrowDown');
    await page.keyboard.press('Shift+ArrowRight');
    await page.getByTestId('verdict').waitFor();
    await page.keyboard.press('Shift+ArrowRight');
    await page.getByRole('list', { name: 'Edits so far' }).getByText(/^2\./).waitFor();
    assert.equal((await statusOf(day.url)).position, before.position);
    await page.getByRole('button', { name: 'undo this edit' }).click();
    await page.getByRole('list', { name: 'Edits so far' }).getByText(/^2\./).waitFor({ state: 'detached' });
    await page.getByRole('button', { name: 'adopt…' }).click();
    await page.getByText('It becomes the plan for everyone at once', { exact: false }).waitFor();
    await page.getByRole('button', { name: 'adopt it' }).click();
    await page.getByText(/Adopted; it is the plan/).first().waitFor();
    const adopted = (await recordOf(day.url)).at(-1);
    assert.equal(adopted.kind, 'plan_adopted');
    await page.keyboard.press('u');
    await page.getByTestId('record').getByText('(taken back)').first().waitFor();
    assert.equal((await statusOf(day.url)).plan.position, before.plan.position);
  }));

test('a step is dragged by the mouse, with findings while it moves', () =>
  onPage(async (page) => {
    await page.keyboard.press('e');
    const timeline = page.getByTestId('timeline');
    await timeline.focus();
    await page.keyboard.press('Home');
    const box = await timeline.boundingBox();
    const status = await statusOf(day.url);
    const step = status.forecast.activities.filter((one) => one.label && one.lanes.includes('EV1')).at(-1);
    const view = (await timeline.getAttribute('aria-label')).match(/PET (\S+) to (\S+)\./).slice(1).map((text) => {
      const [h, m] = text.replace('−', '').split(':').map(Number);
      return (text.startsWith('−') ? -1 : 1) * (h * 3600 + m * 60);
    });
    const x = box.x + ((step.start_s + step.duration_s / 2 - view[0]) / (view[1] - view[0])) * box.width;
    const y = box.y + 30;
    await page.mouse.move(x, y);
    await page.mouse.down();
    for (let i = 1; i <= 10; ++i) await page.mouse.move(x + i * 4, y);
    await page.getByTestId('verdict').waitFor();
    await page.mouse.up();
    await page.getByRole('list', { name: 'Edits so far' }).getByText(/^1\./).waitFor();
    await page.getByRole('button', { name: 'put aside' }).click();
    await page.getByTestId('record').waitFor();
  }));

test('the briefing shows documents in a frame without scripts, and says when the plan has moved on', () =>
  onPage(async (page) => {
    await page.keyboard.press('4');
    const frame = page.frameLocator('iframe');
    await frame.getByText('Certified consumables computations', { exact: false }).first().waitFor();
    const answer = await fetch(new URL('api/v1/document?kind=cue-sheet&for=ev2&format=html', day.url));
    assert.match(answer.headers.get('content-security-policy'), /default-src 'none'.*sandbox/);
    await writeLine(day.url, 'note something new');
    await page.getByTestId('superseded').getByText('Older').waitFor();
    await page.getByRole('button', { name: 'make it again' }).click();
    await page.getByTestId('superseded').waitFor({ state: 'detached' });
    assert.equal((await fetch(new URL('api/v1/document?kind=../../etc/passwd', day.url))).status, 404);
    assert.equal((await fetch(new URL('api/v1/document?kind=cue-sheet&for=ev1&format=exe', day.url))).status, 400);
  }));

test('the tour shows itself once, in three steps', () =>
  onPage(
    async (page) => {
      const tour = page.getByTestId('tour');
      await tour.getByText('1 of 3', { exact: false }).waitFor();
      await tour.getByRole('button', { name: 'next' }).click();
      await tour.getByRole('button', { name: 'next' }).click();
      await tour.getByRole('button', { name: 'begin' }).click();
      await page.reload();
      await pageReady(page);
      assert.equal(await tour.count(), 0);
    },
    { tour: true },
  ));
