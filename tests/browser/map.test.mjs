// The map of the station: in space and flat, by mouse and by keyboard, in the light as the sun stands.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { goOutside, openPage, pageReady, startDay } from './harness.mjs';
import { coloursOf, drawnAs, keep, launchFlat, launchWithSpace, noSeriousFinding, sizes } from './pictures.mjs';

let browser;
let day;
before(async () => {
  browser = await launchWithSpace();
  day = await startDay();
  await goOutside(day.url);
});
after(async () => {
  await browser.close();
  await day.stop();
});

async function onMap(body, { theme = 'light', width = 1280, height = 720, how = 'space', by = browser } = {}) {
  const opened = await openPage(by, day.url, { theme, width, height });
  try {
    await pageReady(opened.page);
    await opened.page.keyboard.press('2');
    await drawnAs(opened.page, how);
    await body(opened.page, opened);
  } finally {
    await opened.close();
  }
}
/** Where a worksite's sign stands, once it stands still. */
async function place(page, site) {
  for (let before = NaN; ; ) {
    const x = await page.locator(`[data-site=${site}] .face`).evaluate((face) => face.getBoundingClientRect().x);
    if (x === before) return x;
    before = x;
    await page.waitForTimeout(250);
  }
}

test('the station is drawn in space, with nothing to complain about', () =>
  onMap(async (page, { complaints, asked }) => {
    assert.ok((await coloursOf(page, page.getByTestId('map'))) > 150);
    for (const id of ['EV1', 'EV2']) assert.equal(await page.locator(`[data-person=${id}]`).count(), 1);
    assert.deepEqual(complaints, []);
    assert.deepEqual([...asked], [new URL(day.url).host]);
  }));

test('it turns, comes nearer and goes back by keyboard and by dragging', () =>
  onMap(async (page) => {
    await page.getByTestId('map').focus();
    const first = await place(page, 'port-tip');
    await page.keyboard.press('ArrowLeft');
    await page.waitForFunction((x) => Math.abs(document.querySelector('[data-site=port-tip] .face').getBoundingClientRect().x - x) > 3, first);
    await page.keyboard.press('+');
    await page.keyboard.press('0');
    await page.waitForFunction((x) => Math.abs(document.querySelector('[data-site=port-tip] .face').getBoundingClientRect().x - x) < 0.5, first);
    const box = await page.getByTestId('map').boundingBox();
    await page.mouse.move(box.x + 30, box.y + box.height - 50);
    await page.mouse.down();
    await page.mouse.move(box.x + 130, box.y + box.height - 60, { steps: 4 });
    await page.mouse.up();
    await page.waitForFunction((x) => Math.abs(document.querySelector('[data-site=port-tip] .face').getBoundingClientRect().x - x) > 3, first);
    assert.equal(await page.locator('[data-testid=pet]').count(), 1, 'the keys of the map did nothing else');
  }));

test('a worksite that is picked tells its tasks, items and light', () =>
  onMap(async (page) => {
    await page.locator('[data-site=payload-deck] .face').click({ force: true });
    const side = page.getByLabel('Worksite', { exact: true });
    await side.getByRole('heading', { name: 'Payload deck' }).waitFor();
    await side.getByText('Move the spare radiator panel').waitFor();
    await side.getByText('Folded insulation blanket').waitFor();
    assert.ok((await side.locator('tbody tr').count()) > 4, 'rows of light');
    assert.match(await side.locator('tbody tr').first().innerText(), /^00:0\d–\d\d:\d\d/);
  }));

test('worksites are picked and let go by keyboard alone', () =>
  onMap(async (page) => {
    await page.locator('[data-site=aft-mast]').focus();
    await page.keyboard.press('Enter');
    await page.getByRole('heading', { name: 'Aft mast' }).waitFor();
    assert.equal(await page.locator('[data-site=aft-mast]').getAttribute('aria-pressed'), 'true');
    await page.keyboard.press('Escape');
    await page.getByText('Pick a worksite on the map', { exact: false }).waitFor();
  }));

test('every worksite is lit or dark as the sun stands', () =>
  onMap(async (page) => {
    const light = await (await fetch(new URL('api/v1/light', day.url))).json();
    const status = await (await fetch(new URL('api/v1/status', day.url))).json();
    const inside = (spans) => spans.some(([from, to]) => from <= status.pet_s && status.pet_s < to);
    assert.ok(inside(light.daylight), 'the demo begins by day');
    const shown = await page.locator('[data-site]').evaluateAll((all) => all.map((one) => [one.dataset.site, one.getAttribute('aria-label')]));
    assert.equal(shown.length, Object.keys(light.sites).length);
    for (const [site, label] of shown)
      assert.ok(label.includes(inside(light.sites[site].lit) ? 'in sunlight' : 'in the station’s shadow'), `${label}`);
  }));

test('without WebGL the map is flat and says so; it is used in the same way', async () => {
  const flat = await launchFlat();
  try {
    await onMap(
      async (page) => {
        await page.getByText('This browser draws nothing in 3-D here', { exact: false }).waitFor();
        assert.ok((await page.locator('[data-testid=map] rect.solid').count()) >= 6, 'solids');
        await page.locator('[data-site=radiator]').focus();
        await page.keyboard.press('Enter');
        await page.getByRole('heading', { name: 'Radiator face' }).waitFor();
        await noSeriousFinding(page, 'flat map');
        await keep(page, 'map-flat');
      },
      { how: 'flat', by: flat },
    );
  } finally {
    await flat.close();
  }
});

test('flat by choice stays flat for the next visit', () =>
  onMap(async (page) => {
    await page.getByRole('button', { name: '3-D' }).click();
    await drawnAs(page, 'flat');
    await page.reload();
    await pageReady(page);
    await page.keyboard.press('2');
    await drawnAs(page, 'flat');
    await page.getByRole('button', { name: '3-D' }).click();
    await drawnAs(page, 'space');
  }));

for (const theme of ['light', 'dark', 'contrast'])
  test(`axe has no serious finding on the map in the ${theme} theme`, () =>
    onMap(
      async (page) => {
        await noSeriousFinding(page, 'map');
        await page.locator('[data-site=truss-mid]').focus();
        await page.keyboard.press('Enter');
        await page.getByRole('heading', { name: 'Right truss bay' }).waitFor();
        await noSeriousFinding(page, 'picked');
        await keep(page, `map-${theme}`);
      },
      { theme },
    ));

test('it is drawn at every size', async () => {
  for (const [name, width, height] of sizes) await onMap((page) => keep(page, `map-${name}`), { width, height });
});
