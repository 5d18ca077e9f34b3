// The running server held to docs/openapi.json: every body it sends fits its description.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { test } from 'node:test';
import { Ajv2020, goOutside, root, startDay, writeLine } from './harness.mjs';

const api = JSON.parse(readFileSync(join(root, 'docs/openapi.json'), 'utf8'));
const ajv = new Ajv2020({ strict: false, allErrors: true });
ajv.addSchema(api, 'api');

function fits(value, pointer, what) {
  const check = ajv.compile({ $ref: `api#${pointer}` });
  check(value);
  assert.deepEqual((check.errors ?? []).map((error) => `${error.instancePath} ${error.message} ${JSON.stringify(error.params)}`).slice(0, 5), [], what);
}
const escaped = (path) => path.replaceAll('~', '~0').replaceAll('/', '~1');
async function ask(day, method, path, { body, headers = {} } = {}) {
  const answer = await fetch(new URL(path.slice(1), day.url), {
    method,
    headers: body ? { 'Content-Type': 'application/json', ...headers } : headers,
    ...(body ? { body: JSON.stringify(body) } : {}),
  });
  const described = api.paths[new URL(path, 'http://x').pathname][method.toLowerCase()].responses;
  assert.ok(described[answer.status], `${method} ${path} answered ${answer.status}, which is not described`);
  if (answer.headers.get('content-type')?.startsWith('application/json'))
    fits(await answer.json(), `/paths/${escaped(new URL(path, 'http://x').pathname)}/${method.toLowerCase()}/responses/${answer.status}/content/application~1json/schema`, `${method} ${path} ${answer.status}`);
  return answer.status;
}

test('every answer fits its description, before PET zero, outside, and after a stand-down', async () => {
  const day = await startDay();
  const reads = async () => {
    for (const path of ['session', 'status', 'outing', 'record', 'record?from=1', 'options', 'timeline.svg', 'suits', 'documents', 'document?kind=cue-sheet&for=ev1&format=html', 'file', 'sessions'])
      assert.equal(await ask(day, 'GET', `/api/v1/${path}`), 200, path);
  };
  try {
    await reads();
    await goOutside(day.url);
    await writeLine(day.url, 'reading EV1 oxygen 0.5 kg');
    await reads();
    assert.equal(await ask(day, 'POST', '/api/v1/entries', { body: { line: 'note one', author: 'lead', seen: 4 } }), 201);
    assert.equal(await ask(day, 'POST', '/api/v1/entries', { body: { line: 'note two', author: 'lead', seen: 4 } }), 409);
    assert.equal(await ask(day, 'POST', '/api/v1/entries', { body: { line: 'what', author: 'lead', seen: 5 } }), 400);
    assert.equal(await ask(day, 'POST', '/api/v1/adopt', { body: { option: 'none', author: 'lead', seen: 5 } }), 400);
    const edit = { kind: 'nothing' };
    assert.equal(await ask(day, 'POST', '/api/v1/edits', { body: { seen: 5, edit } }), 200);
    assert.equal(await ask(day, 'POST', '/api/v1/edits', { body: { seen: 4, edit } }), 409);
    assert.equal(await ask(day, 'POST', '/api/v1/edits', { body: { seen: 5, edit: { kind: 'pin', step: 'nothing.at-all', from_s: 1 } } }), 400);
    assert.equal(await ask(day, 'POST', '/api/v1/file', { body: { digest: 'x', edits: [] } }), 409);
    assert.equal(await ask(day, 'GET', '/api/v1/document?kind=none'), 404);
    assert.equal(await ask(day, 'POST', '/api/v1/session', { body: { token: 'x' } }), 409);
    await writeLine(day.url, 'terminate a glove is torn');
    await reads();
  } finally {
    await day.stop();
  }
});

test('the public document fits its description', async () => {
  const token = 'public-token-0123456789-abcdef';
  const day = await startDay({ tokens: `lead lead-token-0123456789-abcdefgh\npublic ${token}\n` });
  try {
    const headers = { Authorization: `Bearer ${token}` };
    fits(await (await fetch(new URL('api/v1/status', day.url), { headers })).json(), '/components/schemas/PublicFeed', 'public status');
    assert.equal((await fetch(new URL('api/v1/record', day.url), { headers })).status, 403);
  } finally {
    await day.stop();
  }
});

test('the event stream sends whole documents, changes and beats as described, and resumes', async () => {
  const day = await startDay();
  const wanted = { status: 'Status', change: 'Change', beat: 'Beat' };
  const listen = async (headers, enough) => {
    const stop = new AbortController();
    const answer = await fetch(new URL('api/v1/events', day.url), { headers, signal: stop.signal });
    assert.equal(answer.headers.get('content-type'), 'text/event-stream');
    const seen = [];
    let text = '';
    for await (const piece of answer.body) {
      text += Buffer.from(piece).toString('utf8');
      const frames = text.split('\n\n');
      text = frames.pop();
      for (const frame of frames) {
        const field = (name) => frame.split('\n').find((line) => line.startsWith(`${name}: `))?.slice(name.length + 2);
        const event = field('event');
        if (!event) continue;
        const data = JSON.parse(field('data'));
        fits(data, `/components/schemas/${wanted[event]}`, event);
        seen.push({ event, id: field('id'), data });
      }
      if (enough(seen)) break;
    }
    stop.abort();
    return seen;
  };
  try {
    const writing = new Promise((resolve) => setTimeout(resolve, 400)).then(() => writeLine(day.url, 'note for the stream'));
    const seen = await listen({}, (all) => all.some((one) => one.data.entries?.length) && all.some((one) => one.event === 'beat'));
    await writing;
    assert.equal(seen[0].event, 'status');
    assert.equal(seen[0].id, '1');
    assert.ok(seen.some((one) => one.event === 'change' && one.id === '2' && one.data.entries[0].words.includes('for the stream')));
    const again = await listen({ 'Last-Event-ID': '1' }, (all) => all.length > 0);
    assert.equal(again[0].event, 'status');
    assert.ok(again[0].data.record.some((entry) => entry.words.includes('for the stream')));
  } finally {
    await day.stop();
  }
});
