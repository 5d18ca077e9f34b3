// Who may see what, and whether everybody can use it: roles, the public page, axe in every theme.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { AxeBuilder, goOutside, launch, openPage, pageReady, startDay, writeLine } from './harness.mjs';

const token = (role) => `${role}-token-0123456789-abcdefgh`;
const tokens = ['lead', 'console', 'medical', 'public'].map((role) => `${role} ${token(role)}\n`).join('');
const bearer = (role) => ({ Authorization: `Bearer ${token(role)}` });

let browser;
before(async () => { browser = await launch(); });
after(async () => { await browser.close(); });

async function signedIn(day, role, body) {
  const opened = await openPage(browser, day.url);
  try {
    await opened.page.getByLabel('Token').fill(token(role));
    await opened.page.keyboard.press('Enter');
    await body(opened.page);
  } finally {
    await opened.close();
  }
}

async function noSeriousFinding(page, where) {
  const { violations } = await new AxeBuilder({ page }).exclude('iframe').analyze(); // documents run no scripts, so axe cannot either
  const serious = violations.filter((one) => one.impact === 'serious' || one.impact === 'critical');
  const said = serious.map((one) => `${one.id}: ${one.help} (${one.nodes.map((node) => `${node.target.join(' ')} ${node.any[0]?.message ?? ''}`).join('; ')})`);
  assert.deepEqual(said, [], where);
}

test('each role gets its own page: the lead writes, the console reads, the public reads its own', async () => {
  const day = await startDay({ tokens });
  try {
    await writeLine(day.url, 'pet zero', { headers: bearer('lead') });
    await writeLine(day.url, 'hold private planted-marker-4471', { headers: bearer('lead') });
    await signedIn(day, 'lead', async (page) => {
      await pageReady(page);
      await page.getByRole('button', { name: /private hold|resume/ }).first().waitFor();
      assert.ok(!(await page.content()).includes('planted-marker'));
    });
    await signedIn(day, 'console', async (page) => {
      await pageReady(page);
      assert.equal(await page.locator('#line').count(), 0);
      assert.equal(await page.getByRole('button', { name: /hold/ }).count(), 0);
      assert.ok(!(await page.content()).includes('planted-marker'));
    });
    await signedIn(day, 'medical', async (page) => {
      await pageReady(page);
      await page.getByText('planted-marker-4471', { exact: false }).first().waitFor();
    });
    await signedIn(day, 'public', async (page) => {
      await page.getByRole('heading', { name: 'Today’s jobs' }).waitFor();
      const content = await page.content();
      for (const never of ['planted-marker', 'turn back', 'margin', 'medical']) assert.ok(!content.toLowerCase().includes(never), never);
      await noSeriousFinding(page, 'public page');
    });
    for (const role of ['console', 'public'])
      for (const path of ['status', 'record', 'options', 'outing', 'timeline.svg', 'suits', 'documents', 'document?kind=hand-over', 'document?kind=close-out', 'document?kind=director', 'document?kind=script', 'file', 'sessions', 'light', 'walk-through'])
        assert.ok(!(await (await fetch(new URL(`api/v1/${path}`, day.url), { headers: bearer(role) })).text()).includes('planted-marker'), `${role} ${path}`);
  } finally {
    await day.stop();
  }
});

test('a session ended by the lead takes its page with it', async () => {
  const day = await startDay({ tokens });
  try {
    await signedIn(day, 'console', async (page) => {
      await pageReady(page);
      const { sessions } = await (await fetch(new URL('api/v1/sessions', day.url), { headers: bearer('lead') })).json();
      assert.equal(sessions.length, 1);
      assert.equal((await fetch(new URL('api/v1/sessions', day.url), { headers: bearer('console') })).status, 403);
      const ended = await fetch(new URL('api/v1/sessions', day.url), { method: 'DELETE', headers: { ...bearer('lead'), 'Content-Type': 'application/json' }, body: JSON.stringify({ number: sessions[0].number }) });
      assert.equal((await ended.json()).ended, 1);
      await page.getByLabel('Token').waitFor();
    });
  } finally {
    await day.stop();
  }
});

test('a wrong token is refused in a sentence', async () => {
  const day = await startDay({ tokens });
  const { page, close } = await openPage(browser, day.url);
  try {
    await page.getByLabel('Token').fill('not a token');
    await page.keyboard.press('Enter');
    await page.getByRole('alert').getByText('This token is not known here.').waitFor();
    await noSeriousFinding(page, 'sign-in');
  } finally {
    await close();
    await day.stop();
  }
});

for (const theme of ['light', 'dark', 'contrast'])
  test(`axe has no serious finding in the ${theme} theme: timeline, table, map, suits, options, keys`, async () => {
    const day = await startDay();
    await goOutside(day.url);
    const { page, close } = await openPage(browser, day.url, { theme });
    try {
      await pageReady(page);
      await noSeriousFinding(page, 'timeline');
      await page.getByRole('button', { name: 'table' }).click();
      await noSeriousFinding(page, 'table');
      await page.keyboard.press('2');
      await noSeriousFinding(page, 'map');
      await page.keyboard.press('3');
      await noSeriousFinding(page, 'suits');
      await page.keyboard.press('4');
      await page.locator('iframe').waitFor();
      await noSeriousFinding(page, 'briefing');
      await page.keyboard.press('5');
      await page.getByLabel('Takes').first().waitFor();
      await noSeriousFinding(page, 'forms');
      await page.keyboard.press('f');
      await noSeriousFinding(page, 'from afar');
      await page.keyboard.press('f');
      await page.keyboard.press('e');
      await page.getByTestId('timeline').focus();
      for (let i = 0; i < 5; ++i) await page.keyboard.press('ArrowDown');
      await noSeriousFinding(page, 'draft');
      await page.keyboard.press('e');
      await page.keyboard.press('d');
      await page.keyboard.press('o');
      await page.keyboard.type('9');
      await noSeriousFinding(page, 'reading');
      await page.keyboard.press('Escape');
      await page.getByRole('dialog', { name: 'A reading' }).waitFor({ state: 'hidden' });
      await page.keyboard.press('h');
      await page.getByTestId('hold').waitFor();
      await noSeriousFinding(page, 'hold');
      await page.keyboard.press('o');
      await page.getByRole('button', { name: 'adopt…' }).first().waitFor();
      await noSeriousFinding(page, 'options');
      await page.getByRole('button', { name: 'adopt…' }).first().click();
      await noSeriousFinding(page, 'confirm');
      await page.keyboard.press('Escape');
      await page.keyboard.press('?');
      await noSeriousFinding(page, 'keys');
    } finally {
      await close();
      await day.stop();
    }
  });
