// Everything this page ever says to or hears from a network. No component imports anything else that does.
import type { Sent } from './queue';
import type { Beat, Change, Documents, Draft, Edit, FileRequest, FileTried, Light, Options, Outing, OutingFile, Session, Sessions, Status, SuitCurves, WalkThrough, WhatIf } from './types';

/** The server does not know us: sign in. */
export class SignInNeeded extends Error {}
/** The server answered, with a sentence that says why not. */
export class Refused extends Error {}
/** It was based on an older state than the journal's, which is at `position` by now. */
export class Behind extends Refused {
  constructor(words: string, readonly position: number) {
    super(words);
  }
}

async function get<T>(path: string): Promise<T> {
  const answer = await fetch(path, { cache: 'no-store' });
  if (answer.status === 401) throw new SignInNeeded(await sentence(answer));
  if (!answer.ok) throw new Refused(await sentence(answer));
  return (await answer.json()) as T;
}

async function send(method: 'POST' | 'DELETE', path: string, body: object): Promise<Response> {
  return fetch(path, { method, headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body) });
}

async function sentence(answer: Response): Promise<string> {
  try {
    return ((await answer.json()) as { error: string }).error;
  } catch {
    return `The server answered ${answer.status}.`;
  }
}

export const session = (): Promise<Session> => get('/api/v1/session');
export const outing = (): Promise<Outing> => get('/api/v1/outing');
export const light = (): Promise<Light> => get('/api/v1/light');
export const walkThrough = (words: WalkThrough['words']): Promise<WalkThrough> => get(`/api/v1/walk-through?words=${words}`);
export const options = (): Promise<Options> => get('/api/v1/options');

export const suits = (): Promise<SuitCurves> => get('/api/v1/suits');
export const documents = (): Promise<Documents> => get('/api/v1/documents');
export const sessions = (): Promise<Sessions> => get('/api/v1/sessions');
export const outingFile = (): Promise<OutingFile> => get('/api/v1/file');

/** The answer, or the sentence that says why there is none. */
async function ask<T>(method: 'POST' | 'DELETE', path: string, body: object): Promise<T> {
  const answer = await send(method, path, body);
  if (answer.status === 409) {
    const behind = (await answer.json()) as { error: string; position?: number };
    throw behind.position === undefined ? new Refused(behind.error) : new Behind(behind.error, behind.position);
  }
  if (!answer.ok) throw new Refused(await sentence(answer));
  return (await answer.json()) as T;
}
export const draft = (seen: number, on: number | null, edit: Edit): Promise<Draft> =>
  ask('POST', '/api/v1/edits', on === null ? { seen, edit } : { seen, on, edit });
export const whatIf = (lines: readonly string[]): Promise<WhatIf> => ask('POST', '/api/v1/what-if', { lines });
export const editFile = (request: FileRequest): Promise<FileTried> => ask('POST', '/api/v1/file', request);
export const endSession = (number: number | null): Promise<{ ended: number }> => ask('DELETE', '/api/v1/sessions', number === null ? {} : { number });

export async function signIn(token: string): Promise<void> {
  const answer = await send('POST', '/api/v1/session', { token });
  if (!answer.ok) throw new Refused(await sentence(answer));
}
export async function signOut(): Promise<void> {
  await send('DELETE', '/api/v1/session', {});
}

async function write(path: string, body: object): Promise<Sent> {
  let answer: Response;
  try {
    answer = await send('POST', path, body);
  } catch {
    return { kind: 'unreachable' };
  }
  if (answer.status === 201) return { kind: 'written', position: ((await answer.json()) as { position: number }).position };
  if (answer.status === 409) {
    const stale = (await answer.json()) as { error: string; position: number };
    return { kind: 'stale', position: stale.position, why: stale.error };
  }
  return { kind: 'refused', why: await sentence(answer) };
}

export const append = (entry: { id: string; line: string; author: string; at: string; seen: number }): Promise<Sent> =>
  write('/api/v1/entries', { id: entry.id, line: entry.line, author: entry.author, at: entry.at, seen: entry.seen });
export const adopt = (option: string, author: string, seen: number): Promise<Sent> =>
  write('/api/v1/adopt', { option, author, seen });

export interface Listening {
  status(whole: Status): void;
  change(change: Change): void;
  beat(beat: Beat): void;
  /** The stream broke; `closed` when the browser will not try again by itself. */
  broken(closed: boolean): void;
}

/** Opens the event stream; the function returned closes it. */
export function listen(to: Listening): () => void {
  const source = new EventSource('/api/v1/events');
  const on = <T>(event: string, take: (data: T) => void): void =>
    source.addEventListener(event, (message) => take(JSON.parse((message as MessageEvent<string>).data) as T));
  on('status', to.status);
  on('change', to.change);
  on('beat', to.beat);
  source.addEventListener('error', () => to.broken(source.readyState === EventSource.CLOSED));
  return () => source.close();
}
