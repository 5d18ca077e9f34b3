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

test('a what-if is answered with the day as it would be, and nothing is written', async () => {
  const day = await startDay();
  const post = async (path, body) =>
    fetch(new URL(path, day.url), { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body) });
  try {
    await goOutside(day.url);
    const before = await (await fetch(new URL('api/v1/record', day.url))).json();
    for (const lines of [['arm lost'], ['hold', 'EV2 unable'], ['terminate a glove is torn']])
      assert.equal(await ask(day, 'POST', '/api/v1/what-if', { body: { lines } }), 200, lines.join());
    const lost = await (await post('api/v1/what-if', { lines: ['arm lost'] })).json();
    assert.equal(lost.position, before.position);
    assert.deepEqual(lost.supposed, ['the arm is lost']);
    assert.equal(lost.status.position, before.position + 1);
    assert.equal(lost.options.options[0].id, 'carry-on');
    const stopped = await (await post('api/v1/what-if', { lines: ['terminate a glove is torn'] })).json();
    assert.equal(stopped.status.stand_down.kind, 'terminate');
    assert.equal((await post('api/v1/adopt', { option: 'abort', author: 'lead', seen: before.position })).status, 400, 'nothing supposed can be adopted');
    assert.equal(await ask(day, 'POST', '/api/v1/what-if', { body: { lines: ['what'] } }), 400);
    assert.equal(await ask(day, 'POST', '/api/v1/what-if', { body: { lines: [] } }), 400);
    assert.deepEqual(await (await fetch(new URL('api/v1/record', day.url))).json(), before);
  } finally {
    await day.stop();
  }
});

test('what a stale write is told holds no private word', async () => {
  const secret = 'planted-7718';
  const tokens = ['lead', 'console', 'medical'].map((role) => `${role} ${role}-token-0123456789-abcdefgh`).join('\n');
  const day = await startDay({ tokens: `${tokens}\n` });
  const as = (role) => ({ Authorization: `Bearer ${role}-token-0123456789-abcdefgh`, 'Content-Type': 'application/json' });
  const write = (line, seen) =>
    fetch(new URL('api/v1/entries', day.url), { method: 'POST', headers: as('lead'), body: JSON.stringify({ line, author: 'lead', seen }) });
  try {
    assert.equal((await write('pet zero', 1)).status, 201);
    assert.equal((await write(`hold private ${secret}`, 2)).status, 201);
    assert.equal((await write('note for all', 3)).status, 201);
    const answer = await write('resume', 2);
    assert.equal(answer.status, 409);
    const told = await answer.json();
    assert.deepEqual(told.since.map((entry) => entry.words), ['hold', 'for all']);
    assert.match(told.error, /since entry 2: "hold", "for all"/);
    assert.ok(!JSON.stringify(told).includes(secret));
    for (const role of ['lead', 'console']) {
      const asked = await fetch(new URL('api/v1/what-if', day.url), { method: 'POST', headers: as(role), body: JSON.stringify({ lines: ['resume'] }) });
      assert.equal(asked.status, 200, role);
      assert.ok(!(await asked.text()).includes(secret), role);
    }
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
    let writing = null; // as soon as the stream has said something
    const seen = await listen({}, (all) => {
      if (all.length) writing ??= writeLine(day.url, 'note for the stream');
      return all.some((one) => one.data.entries?.length) && all.some((one) => one.event === 'beat');
    });
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
