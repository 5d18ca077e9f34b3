// The one store: everything the page knows, fed by the event stream. Components read it and call its verbs.
import * as api from './api';
import { type Heard, isStale, offset, remember } from './clock';
import { applyChange } from './merge';
import * as queue from './queue';
import type { Beat, Change, Documents, Light, Options, Outing, Status, SuitCurves } from './types';
import { parseUtc, pet, petAt, type PetSeconds, type UtcMs, utcMs } from './units';

export type Link = 'connecting' | 'live' | 'stale' | 'sign-in';

const queueKey = 'handrail.queue';
const authorKey = 'handrail.author';
/** A stream silent for so long is opened anew: the connection may be dead without anybody having said so. */
const reopenAfterMs = 8000;

export class Console {
  status = $state.raw<Status | null>(null);
  outing = $state.raw<Outing | null>(null);
  light = $state.raw<Light | null>(null); // on the station, for the PET zero it names
  options = $state.raw<Options | null>(null);
  curves = $state.raw<SuitCurves | null>(null);
  curvesWhy = $state('');
  documents = $state.raw<Documents | null>(null);
  documentsWhy = $state('');
  optionsState = $state<'idle' | 'working' | 'failed'>('idle');
  optionsWhy = $state('');
  link = $state<Link>('connecting');
  heardAt = $state<number | null>(null); // by our steady clock
  queue = $state.raw<queue.Queue>([]);
  notice = $state<{ words: string; kind: 'done' | 'wrong' } | null>(null);
  author = $state('lead');
  canWrite = $state(true);
  needsToken = $state(false);
  practice = $state(false); // the server's clock does not show the present
  lastOwn = $state<number | null>(null); // the newest entry written from here
  private heard: readonly Heard[] = [];
  private lightFor = '';
  private firstGuess: number | null = null; // from the first document, until a heartbeat tells better
  private tick = $state(0);
  private stop: (() => void) | null = null;
  private openedAt = 0;
  private noticeTimer: ReturnType<typeof setTimeout> | undefined;

  /** The server's clock now; our own until it has spoken. */
  readonly utc: UtcMs = $derived.by(() => {
    const local = this.tick;
    return utcMs(local + (offset(this.heard) ?? this.firstGuess ?? Date.now() - local));
  });
  readonly pet: PetSeconds = $derived.by(() => {
    const zero = this.status?.pet_zero;
    if (zero !== undefined) return petAt(this.utc, parseUtc(zero));
    return pet(0);
  });
  readonly silentS: number = $derived(this.heardAt === null ? 0 : Math.floor((this.tick - this.heardAt) / 1000));

  start(): void {
    this.tick = performance.now();
    this.queue = queue.restore(sessionStorage.getItem(queueKey));
    this.author = localStorage.getItem(authorKey) ?? 'lead';
    setInterval(() => this.onTick(), 200);
    void this.hello();
  }

  setAuthor(name: string): void {
    this.author = name.trim() || 'lead';
    localStorage.setItem(authorKey, this.author);
  }

  async signIn(token: string): Promise<void> {
    await api.signIn(token);
    await this.hello();
  }
  async signOut(): Promise<void> {
    await api.signOut();
    this.close();
    this.status = null;
    this.link = 'sign-in';
  }

  /** Writes a line into the record now, or as soon as the server can be reached. */
  submit(line: string): void {
    const status = this.status;
    if (!status || !this.canWrite) return;
    const behind = this.queue.at(-1);
    const entry = {
      id: crypto.randomUUID(),
      line,
      author: this.author,
      at: new Date(this.utc).toISOString(),
      seen: behind ? Math.max(behind.seen, status.position) : status.position,
    };
    this.setQueue(queue.add(this.queue, entry));
    void this.flush();
  }
  sendAnyway(id: string): void {
    this.setQueue(queue.sendAnyway(this.queue, id, this.status?.position ?? 0));
    void this.flush();
  }
  drop(id: string): void {
    this.setQueue(queue.drop(this.queue, id));
    void this.flush();
  }

  async workOutOptions(): Promise<void> {
    this.optionsState = 'working';
    try {
      this.options = await api.options();
      this.optionsState = 'idle';
    } catch (error) {
      this.optionsState = 'failed';
      this.optionsWhy = error instanceof Error ? error.message : String(error);
    }
  }
  /** The course of both suits; asked for while it is looked at. */
  async fetchCurves(): Promise<void> {
    try {
      this.curves = await api.suits();
      this.curvesWhy = '';
    } catch (error) {
      this.curvesWhy = error instanceof Error ? error.message : String(error);
    }
  }
  async fetchDocuments(): Promise<void> {
    try {
      this.documents = await api.documents();
      this.documentsWhy = '';
    } catch (error) {
      this.documentsWhy = error instanceof Error ? error.message : String(error);
    }
  }
  /** True when it is on disk. */
  async adopt(option: string, seen = this.options?.position ?? this.status?.position ?? 0): Promise<boolean> {
    const sent = await api.adopt(option, this.author, seen);
    if (sent.kind === 'written') {
      this.options = null;
      this.lastOwn = sent.position;
      this.say('Adopted; it is the plan for everyone now.', 'done');
      return true;
    }
    this.say(sent.kind === 'unreachable' ? 'The server cannot be reached; nothing was adopted.' : sent.why, 'wrong');
    return false;
  }

  say(words: string, kind: 'done' | 'wrong'): void {
    this.notice = { words, kind };
    clearTimeout(this.noticeTimer);
    this.noticeTimer = setTimeout(() => (this.notice = null), kind === 'wrong' ? 12_000 : 6_000);
  }

  private async hello(): Promise<void> {
    try {
      const who = await api.session();
      this.canWrite = who.role === 'lead';
      this.needsToken = who.tokens;
      this.practice = who.practice;
      if (who.role === 'public') {
        location.replace('/public/'); // a page of its own, with nothing of this one in it
        return;
      }
      this.outing = await api.outing();
    } catch (error) {
      if (error instanceof api.SignInNeeded) {
        this.link = 'sign-in';
        return;
      }
      if (error instanceof api.Refused) this.say(error.message, 'wrong');
      // Unreachable: the stream keeps trying, and says so.
    }
    this.open();
  }

  private open(): void {
    this.close();
    this.openedAt = performance.now();
    this.stop = api.listen({
      status: (whole) => this.onStatus(whole),
      change: (change) => this.onChange(change),
      beat: (beat) => this.onBeat(beat),
      broken: (closed) => {
        if (this.link === 'live') this.link = 'connecting';
        if (closed) setTimeout(() => void this.hello(), 1000);
      },
    });
  }
  private close(): void {
    this.stop?.();
    this.stop = null;
  }

  private onStatus(whole: Status): void {
    this.firstGuess ??= Date.parse(whole.utc) - performance.now();
    this.status = whole;
    this.alive();
    if (this.outing === null) void api.outing().then((outing) => (this.outing = outing), () => undefined);
  }
  private onChange(change: Change): void {
    if (this.status) this.status = applyChange(this.status, change);
    this.alive();
  }
  private onBeat(beat: Beat): void {
    this.heard = remember(this.heard, { server: Date.parse(beat.utc), local: performance.now() });
    this.alive();
  }
  private alive(): void {
    this.heardAt = performance.now();
    if (this.status) this.link = 'live';
    this.lookAtTheSky();
    void this.flush();
  }

  /** The light belongs to one PET zero; it is asked for again when the day's has moved. */
  private lookAtTheSky(): void {
    const zero = this.status?.pet_zero;
    if (zero === undefined || zero === this.lightFor) return;
    this.lightFor = zero;
    api.light().then((light) => (this.light = light), () => (this.lightFor = ''));
  }

  private onTick(): void {
    this.tick = performance.now();
    const heard = this.heardAt ?? this.openedAt;
    if (this.link === 'sign-in') return;
    if (this.heardAt !== null && isStale(this.heardAt, this.tick)) this.link = 'stale';
    if (this.stop && this.tick - Math.max(heard, this.openedAt) > reopenAfterMs) this.open();
  }

  private setQueue(next: queue.Queue): void {
    this.queue = next;
    sessionStorage.setItem(queueKey, JSON.stringify(next));
  }

  /** Sends what waits, one entry at a time. */
  private async flush(): Promise<void> {
    const entry = queue.nextToSend(this.queue);
    if (!entry || this.link === 'stale' || this.link === 'sign-in') return;
    this.setQueue(queue.sending(this.queue, entry.id));
    const sent = await api.append(entry);
    this.setQueue(queue.settle(this.queue, entry.id, sent));
    if (sent.kind === 'written') {
      this.lastOwn = sent.position;
      this.say(`In the record: ${entry.line}`, 'done');
    }
    if (sent.kind === 'written') void this.flush();
  }
}
