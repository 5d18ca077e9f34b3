// All that the public page hears from the server, and all it ever asks: what everyone may know.
import type { components } from '../lib/schema';

export type Feed = components['schemas']['PublicFeed'];
export type Person = Feed['crew'][number];

export type Answer = { kind: 'feed'; feed: Feed } | { kind: 'who' } | { kind: 'refused'; why: string };

async function why(answer: Response): Promise<string> {
  try {
    return ((await answer.json()) as { error: string }).error;
  } catch {
    return `The server answered ${answer.status}.`;
  }
}
/** The whole document; 'who' when the server wants a token first. Throws when it cannot be reached. */
export async function fetchFeed(): Promise<Answer> {
  const answer = await fetch('/api/v1/everyone', { cache: 'no-store' });
  if (answer.status === 401) return { kind: 'who' };
  return answer.ok ? { kind: 'feed', feed: (await answer.json()) as Feed } : { kind: 'refused', why: await why(answer) };
}
/** Nothing when it worked, else a sentence. */
export async function signIn(token: string): Promise<string | null> {
  const answer = await fetch('/api/v1/session', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ token }) });
  return answer.ok ? null : why(answer);
}

export interface Listening {
  whole(feed: Feed): void;
  change(set: Partial<Feed>): void;
  beat(utc: string): void;
  broken(): void;
}
export function listen(to: Listening): () => void {
  const source = new EventSource('/api/v1/everyone/events');
  const on = <T>(event: string, take: (data: T) => void): void =>
    source.addEventListener(event, (message) => take(JSON.parse((message as MessageEvent<string>).data) as T));
  on<Feed>('status', to.whole);
  on<{ set: Partial<Feed> }>('change', (data) => to.change(data.set));
  on<{ utc: string }>('beat', (data) => to.beat(data.utc));
  source.addEventListener('error', () => source.readyState === EventSource.CLOSED && to.broken());
  return () => source.close();
}
