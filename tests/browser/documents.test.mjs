// The documents that come as pages: whether everybody can read them (axe), and that they ask the network for nothing.
import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { pathToFileURL } from 'node:url';
import { AxeBuilder, launch, openPage, root } from './harness.mjs';

const binary = process.env.HANDRAIL_BINARY ?? join(root, 'build/release/handrail');
const folder = mkdtempSync(join(tmpdir(), 'handrail-documents-'));
const outing = join(root, 'demo/larkspur/outing.toml');
const plan = join(folder, 'plan.json');
const journal = join(folder, 'day.journal');
const scrubbed = join(folder, 'scrubbed.journal');

function handrail(...words) {
  const ran = spawnSync(binary, words, { encoding: 'utf8' });
  assert.equal(ran.status, 0, `handrail ${words.join(' ')}: ${ran.stderr}`);
}

let browser;
before(async () => {
  browser = await launch();
  handrail('plan', outing, '--iterations', '200', '--seed', '1', '--quiet', '--out', plan);
  handrail('open', outing, '--timeline', plan, '--journal', journal, '--at=-01:00');
  for (const [line, at] of [['pet zero', '00:10'], ['egress done', '00:16'], ['EV1 started', '00:20'], ['EV1 finished', '00:35']])
    handrail('log', journal, line, `--at=${at}`);
  handrail('open', outing, '--timeline', plan, '--journal', scrubbed, '--at=-01:00');
  handrail('log', scrubbed, 'suit-up', '--at=-00:50');
  handrail('log', scrubbed, 'scrub', '--at=-00:40');
});
after(async () => {
  await browser.close();
  rmSync(folder, { recursive: true, force: true });
});

const plans = ['cue-sheet', 'storyboard', 'script', 'director', 'tools'];
const cases = [
  ...plans.flatMap((what) => ['en', 'de'].map((language) => ({ what, language, from: [outing, '--timeline', plan] }))),
  ...['hand-over', 'close-out', 'script', 'director', 'tools', 'cue-sheet', 'storyboard'].map((what) => ({ what, language: 'en', from: [journal, '--at', '00:40'] })),
  ...['hand-over', 'close-out', 'script', 'director', 'cue-sheet'].map((what) => ({ what, language: 'en', from: [scrubbed, '--at=-00:38'] })),
  ...['hand-over', 'close-out'].map((what) => ({ what, language: 'de', from: [journal, '--at', '00:40', '--units', 'us', '--large'] })),
];

for (const [number, { what, language, from }] of cases.entries())
  test(`${what} (${language}, of ${{ [journal]: 'a day', [scrubbed]: 'a scrubbed day' }[from[0]] ?? 'a plan'}) can be read by everybody and fetches nothing`, async () => {
    const file = join(folder, `${what}-${language}-${number}.html`);
    handrail('brief', ...from, '--what', what, '--language', language, '--out', file);
    const opened = await openPage(browser, pathToFileURL(file).href);
    try {
      const { violations } = await new AxeBuilder({ page: opened.page }).analyze();
      assert.deepEqual(violations.map((one) => `${one.id}: ${one.help} (${one.nodes[0]?.target.join(' ')})`), []);
      assert.deepEqual([...opened.asked].filter((host) => host !== ''), []);
      assert.deepEqual(opened.complaints, []);
    } finally {
      await opened.close();
    }
  });
