// The whole demo day in the page: from PET zero to repress, every step started and finished by the lead's keys.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { join } from 'node:path';
import { launch, openPage, pageReady, recordOf, shots, startDay } from './harness.mjs';

let browser;
before(async () => { browser = await launch(); });
after(async () => { await browser.close(); });

test('the demo day is clicked through: every planned step is done, both are home, and nothing is left over', async () => {
  const day = await startDay();
  const { page, complaints, close } = await openPage(browser, day.url);
  const statusNow = async () => (await fetch(new URL('api/v1/status', day.url))).json();
  /** One act of the lead, and the journal one entry longer. */
  async function act(before, body) {
    await body();
    for (let tries = 0; tries < 400; ++tries) {
      const status = await statusNow();
      if (status.position > before.position) {
        // The page has it too: its next key builds on it.
        await page.locator(`#entry-${status.position}`).waitFor({ state: 'attached' });
        return status;
      }
      await new Promise((resolve) => setTimeout(resolve, 25));
    }
    throw new Error(`nothing was written; queue: ${await page.getByTestId('queue').allInnerTexts()}`);
  }
  const type = async (line) => {
    await page.keyboard.press('/');
    await page.keyboard.type(line);
    await page.keyboard.press('Enter');
    await page.keyboard.press('Escape');
  };
  const keys = { EV1: ['a', 's'], EV2: ['k', 'l'] };
  try {
    await pageReady(page);
    let status = await act(await statusNow(), () => page.keyboard.press('n'));
    status = await act(status, () => page.keyboard.press('n'));
    const planned = status.forecast.activities.filter((one) => one.label).length;
    for (let acts = 0; acts < 4 * planned; ++acts) {
      const running = status.as_run.find((one) => one.label && one.status === 'running' && !one.assumed);
      const next = status.forecast.activities.find((one) => one.label);
      const doing = running ?? next;
      if (!doing) break;
      const lane = doing.lanes.find((one) => one in keys);
      const own = lane && (running ? status.crew.find((one) => one.id === lane)?.now?.label === doing.label : status.forecast.activities.find((one) => one.label && one.lanes.includes(lane))?.label === doing.label);
      status = await act(status, () => (own ? page.keyboard.press(keys[lane][running ? 1 : 0]) : type(`${running ? 'finished' : 'started'} ${doing.label}`)));
    }
    assert.deepEqual(status.forecast.activities.filter((one) => one.label), []);
    await page.screenshot({ path: join(shots, 'day-work-done.png') });
    for (const phase of ['clean_up', 'ingress', 'repress', 'post']) {
      status = await act(status, () => page.keyboard.press('n'));
      assert.equal(status.phase, phase);
    }
    assert.ok(status.crew.every((one) => !one.outside));
    assert.deepEqual(status.problems, []);
    const left = status.tasks.filter((task) => !['done', 'left_out'].includes(task.status));
    assert.deepEqual(left.map((task) => task.id), []);
    const kinds = (await recordOf(day.url)).map((entry) => entry.kind);
    assert.ok(kinds.filter((kind) => kind === 'step_finished').length >= planned - 2);
    await page.screenshot({ path: join(shots, 'day-done.png') });
    assert.deepEqual(complaints, []);
  } finally {
    await close();
    await day.stop();
  }
});
