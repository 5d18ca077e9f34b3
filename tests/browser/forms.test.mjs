// An outing made and changed in the browser: every part a newcomer needs, errors at their field, comments kept.
import assert from 'node:assert/strict';
import { cpSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { launch, openPage, pageReady, root, scratch, startDay } from './harness.mjs';

let browser;
before(async () => { browser = await launch(); });
after(async () => { await browser.close(); });

let copies = 0;
/** A day on a copy of the demo, and its forms opened. */
async function inForms(body) {
  const folder = join(scratch, `forms-${++copies}`);
  cpSync(join(root, 'demo'), folder, { recursive: true });
  const file = join(folder, 'larkspur/outing.toml');
  const day = await startDay({ file });
  const { page, complaints, close } = await openPage(browser, day.url);
  try {
    await pageReady(page);
    await page.keyboard.press('5');
    await page.getByLabel('Takes').first().waitFor();
    const read = (name = 'outing.toml') => readFileSync(join(folder, 'larkspur', name), 'utf8');
    await body({ page, day, read });
    assert.deepEqual(complaints, []);
  } finally {
    await close();
    await day.stop();
  }
}
const savable = (page) => page.getByTestId('save').and(page.locator(':enabled')).waitFor();
async function save(page) {
  await savable(page);
  await page.getByTestId('save').click();
  await page.getByText(/^✓ Saved in/).waitFor();
}
/** The lines that are not where they were. */
const changed = (before, after) => after.split('\n').filter((line, i) => line !== before.split('\n')[i]);
async function open(page, group, entry) {
  const details = page.locator('nav details', { has: page.locator('summary', { hasText: group }) });
  if (!(await details.evaluate((element) => element.open))) await details.locator('summary').click();
  if (entry) await details.getByRole('button', { name: entry, exact: true }).click();
}

test('an outing is changed by forms: the reader’s error stands at its field, and comments stay', () =>
  inForms(async ({ page, day, read }) => {
    const before = read();
    const takes = page.getByLabel('Takes').first();
    await takes.fill('8');
    await page.locator('#s0-duration-words').getByText(/expected a time such as/).waitFor();
    assert.ok(await page.getByTestId('save').isDisabled());
    await takes.fill('9 min');
    await savable(page);
    assert.equal(read(), before);
    await save(page);
    assert.deepEqual(changed(before, read()), ['duration = "9 min"']);
    assert.equal(read().split('#').length, before.split('#').length);
    // The running day keeps what it was opened with, and says how a day takes the new file.
    await page.getByTestId('other-day').getByText('handrail serve outing.toml', { exact: false }).waitFor();
    await page.getByRole('button', { name: '+ a task' }).click();
    await page.keyboard.type('Look at the mast');
    await page.keyboard.press('Enter');
    await page.locator('code', { hasText: 'look-at-the-mast' }).first().waitFor();
    await page.getByLabel('as a new file').fill('next.toml');
    await page.getByRole('button', { name: 'save as' }).click();
    await page.getByText(/Saved as next.toml/).waitFor();
    assert.match(read('next.toml'), /id = "look-at-the-mast"/);
    const refuse = async (body) => (await fetch(new URL('api/v1/file', day.url), { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body) })).status;
    const { digest } = await (await fetch(new URL('api/v1/file', day.url))).json();
    assert.equal(await refuse({ digest, edits: [], save_as: '../elsewhere.toml' }), 400);
    assert.equal(await refuse({ digest, edits: [], save_as: 'next.toml' }), 400);
    assert.equal(await refuse({ digest: 'older', edits: [] }), 409);
  }));

test('a change is saved by the first click, though the field has only just been left', () =>
  inForms(async ({ page, read }) => {
    await page.locator('#task-name').fill('Swap the valve');
    await page.getByTestId('save').click();
    await page.getByText(/^✓ Saved in/).waitFor();
    assert.match(read(), /name = "Swap the valve"/);
  }));

test('routes, items, crew, suits, rules, light and prebreathe have forms, each with its errors', () =>
  inForms(async ({ page, read }) => {
    const [outing, station] = [read(), read('station.toml')];
    await open(page, 'Station', 'airlock – truss-root');
    await page.locator('#route-length').fill('9');
    await page.locator('#route-length-words').getByText(/expected a length/).waitFor();
    await page.locator('#route-length').fill('9 m');
    await page.locator('#route-pace').selectOption('careful');
    await open(page, 'Items and bags', 'Power driver 1');
    await page.locator('#item-in').selectOption('tool-bag-2');
    await open(page, 'Crew and suits', 'EV1');
    await page.locator('#crew-member-speed').fill('fast');
    await page.locator('#crew-member-speed-words').getByText(/expected a speed/).waitFor();
    await page.locator('#crew-member-speed').fill('0.19 m/s');
    await open(page, 'Rules', 'Rules');
    await page.locator('#rules-margin').fill('20 min');
    await open(page, 'Rules', 'Rates by effort');
    await page.locator('#effort-tools').fill('230 W');
    await open(page, 'Rules', 'Prebreathe');
    await page.locator('#s0-duration').first().fill('4 h 10 min');
    await open(page, 'Light and coverage', 'Relay East');
    await page.locator('#relay-cone').fill('85 deg');
    await save(page);
    const added = changed(outing, read()).filter((line) => !outing.includes(`${line}\n`));
    for (const wanted of [/^in = "tool-bag-2"|^speed = "0.19 m\/s"/, /^margin = "20 min"/, /tools = "230 W"/, /^duration = "4 h 10 min"/, /^cone = "85 deg"/]) assert.ok(added.some((line) => wanted.test(line)) || read().match(new RegExp(wanted.source.replaceAll('^', ''), 'm')), String(wanted));
    assert.match(read(), /speed = "0.19 m\/s"\s+# careful hand over hand/);
    const moved = changed(station, read('station.toml'));
    assert.ok(moved.includes('length = "9 m"') && moved.includes('pace = "careful"'), moved.slice(0, 3).join(' | '));
    await open(page, 'Light and coverage', '+ a window');
    await page.keyboard.type('docking');
    await page.keyboard.press('Enter');
    await page.locator('#window-to').fill('-00:30');
    await page.getByText(/expected an end after its start/).first().waitFor();
    await page.locator('#window-to').fill('00:30');
    await save(page);
    assert.match(read(), /\[\[window\]\]\ncondition = "docking"\nfrom = "00:00"\nto = "00:30"/);
  }));
