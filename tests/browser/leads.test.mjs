// Fast hands and two leads: keys pressed before the server has answered, drafts that meet newer entries, suppositions.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { goOutside, launch, openPage, pageReady, recordOf, startDay, startWire, writeLine } from './harness.mjs';

let browser;
before(async () => { browser = await launch(); });
after(async () => { await browser.close(); });

async function withDay(pages, body, { wire = false } = {}) {
  const day = await startDay();
  const between = wire ? await startWire(day.url) : null;
  await goOutside(day.url);
  const opened = [];
  try {
    for (let i = 0; i < pages; ++i) opened.push(await openPage(browser, between?.url ?? day.url));
    for (const { page } of opened) await pageReady(page);
    await body(day, opened.map((one) => one.page), between);
    for (const { complaints } of opened) assert.deepEqual(complaints.filter((words) => !/409|Failed to load/.test(words)), []);
  } finally {
    for (const one of opened) await one.close();
    between?.stop();
    await day.stop();
  }
}
const kindsOf = async (day) => (await recordOf(day.url)).map((entry) => entry.kind);
async function until(ask, what) {
  for (let tries = 0; tries < 600; ++tries) {
    if (await ask()) return;
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
  throw new Error(`never: ${what}`);
}

test('keys pressed one after the other, without waiting for any answer, are all written, each once', () =>
  withDay(1, async (day, [page]) => {
    for (const key of ['a', 's', 'k', 'l', 'a', 's', 'h', 'h']) await page.keyboard.press(key);
    const wanted = ['step_started', 'step_finished', 'step_started', 'step_finished', 'step_started', 'step_finished', 'hold', 'resume'];
    await until(async () => (await kindsOf(day)).length >= 3 + wanted.length, 'eight entries');
    assert.deepEqual((await kindsOf(day)).slice(3), wanted);
    await page.getByTestId('queue').waitFor({ state: 'detached' });
  }));

test('the same without a connection: keys go on from one another, and are delivered in order', () =>
  withDay(
    1,
    async (day, [page], wire) => {
      wire.cut();
      await page.getByTestId('stale').waitFor();
      for (const key of ['a', 's', 'a']) await page.keyboard.press(key);
      assert.equal(await page.getByTestId('queue').locator('li').count(), 3);
      // The one still waiting is taken back before anybody heard of it.
      await page.keyboard.press('u');
      assert.equal(await page.getByTestId('queue').locator('li').count(), 2);
      wire.mend();
      await page.getByTestId('queue').waitFor({ state: 'detached' });
      assert.deepEqual((await kindsOf(day)).slice(3), ['step_started', 'step_finished']);
    },
    { wire: true },
  ));

test('a key pressed at once after a panel was closed counts', () =>
  withDay(1, async (day, [page]) => {
    for (const open of ['?', 'o', 'd']) {
      await page.keyboard.press(open);
      await page.getByRole('dialog').waitFor();
      await page.keyboard.press('Escape');
      await page.keyboard.press('h');
    }
    await until(async () => (await kindsOf(day)).length >= 6, 'three entries');
    assert.deepEqual((await kindsOf(day)).slice(3), ['hold', 'resume', 'hold']);
  }));

async function pickStep(page) {
  await page.keyboard.press('e');
  await page.getByTestId('timeline').focus();
  for (let i = 0; i < 150 && !/Bolt|Free|Release|Carry/.test(await page.locator('.picked-words').innerText()); ++i) await page.keyboard.press('ArrowDown');
}
const edits = (page) => page.getByRole('list', { name: 'Edits so far' }).locator('li');

test('nudges faster than the server answers add up', () =>
  withDay(1, async (day, [page]) => {
    await pickStep(page);
    for (let i = 0; i < 3; ++i) await page.keyboard.press('Shift+ArrowRight');
    await edits(page).nth(2).waitFor();
    const minutes = (await edits(page).allInnerTexts()).map((words) => words.match(/at (\d\d):(\d\d)/)).map((found) => Number(found[1]) * 60 + Number(found[2]));
    assert.deepEqual(minutes.map((one) => one - minutes[0]), [0, 1, 2]);
  }));

test('two leads draft at once: the one who adopts later is told, drafts again from now, and adopts', () =>
  withDay(2, async (day, [first, second]) => {
    for (const page of [first, second]) {
      await pickStep(page);
      await page.keyboard.press('Shift+ArrowRight');
      await edits(page).first().waitFor();
    }
    const adopt = async (page) => {
      await page.getByRole('button', { name: 'adopt…' }).click();
      await page.getByRole('button', { name: 'adopt it' }).click();
    };
    await adopt(first);
    await first.getByText(/Adopted; it is the plan/).first().waitFor();
    await second.getByText('Something was written since', { exact: false }).waitFor();
    assert.ok(await second.getByRole('button', { name: 'adopt…' }).isDisabled());
    await second.getByRole('button', { name: 'draft it again from now' }).click();
    await second.getByText('Something was written since', { exact: false }).waitFor({ state: 'detached' });
    assert.equal(await edits(second).count(), 1);
    await adopt(second);
    await second.getByText(/Adopted; it is the plan/).first().waitFor();
    assert.equal((await kindsOf(day)).filter((kind) => kind === 'plan_adopted').length, 2);
  }));

test('an edit asked for while somebody else writes is made on the newer state', () =>
  withDay(1, async (day, [page]) => {
    await pickStep(page);
    await page.keyboard.press('Shift+ArrowRight');
    await edits(page).first().waitFor();
    await writeLine(day.url, 'note from the other building');
    await page.keyboard.press('Shift+ArrowRight');
    await edits(page).nth(1).waitFor();
    await page.getByText('Something was written since', { exact: false }).waitFor({ state: 'detached' });
    // Entries go on being written beside an open draft, and the draft outlives a look elsewhere.
    await page.keyboard.press('/');
    await page.keyboard.type('note while drafting');
    await page.keyboard.press('Enter');
    await page.keyboard.press('Escape');
    await page.getByTestId('record').getByText('while drafting').waitFor();
    await page.keyboard.press('e');
    await page.keyboard.press('2');
    await page.keyboard.press('e');
    assert.equal(await edits(page).count(), 2);
  }));

test('what if: typed into the line or asked beside the ways on, answered there, and nothing is written', () =>
  withDay(1, async (day, [page]) => {
    const before = (await kindsOf(day)).length;
    await page.keyboard.press('/');
    await page.keyboard.type('what if arm lost');
    await page.keyboard.press('Enter');
    const supposed = page.getByTestId('supposed');
    await supposed.getByRole('heading', { name: /arm/i }).first().waitFor();
    await supposed.locator('.card').first().waitFor();
    assert.equal(await supposed.getByRole('button', { name: /adopt/ }).count(), 0);
    await page.getByLabel('What if').fill('terminate a glove is torn');
    await page.getByRole('button', { name: 'suppose' }).click();
    await supposed.getByTestId('stand-down').getByText('ingress, hatch closed').waitFor();
    await page.getByLabel('What if').fill('no such thing at all');
    await page.getByRole('button', { name: 'suppose' }).click();
    await supposed.getByRole('alert').waitFor();
    await page.getByRole('button', { name: 'forget it' }).click();
    await supposed.waitFor({ state: 'detached' });
    assert.equal((await kindsOf(day)).length, before);
  }));

test('a stand-down shows what is open, what is outside and who does what, and the morning its steps', async () => {
  await withDay(1, async (day, [page]) => {
    await writeLine(day.url, 'terminate a glove is torn');
    const down = page.getByTestId('stand-down');
    await down.getByText('ingress, hatch closed').waitFor();
    await down.locator('li.next').first().waitFor();
  });
  const morning = await startDay({ asIf: '2031-04-05T04:10:00Z' });
  const { page, close } = await openPage(browser, morning.url);
  try {
    await pageReady(page);
    const strip = page.getByTestId('morning');
    await strip.getByRole('button', { name: 'suit-up begins' }).click();
    await strip.getByRole('button', { name: 'prebreathe begins' }).click();
    await strip.getByText(/PET zero from/).waitFor();
    await strip.getByRole('button', { name: 'EV1 off oxygen' }).click();
    await strip.getByRole('button', { name: 'EV1 on oxygen again' }).click();
    await page.getByTestId('record').getByText('EV1 on oxygen').waitFor();
  } finally {
    await close();
    await morning.stop();
  }
});
