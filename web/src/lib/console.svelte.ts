// The one store: everything the page knows, fed by the event stream. Components read it and call its verbs.
import * as api from './api';
import { believed } from './believed';
import { type Heard, isStale, offset, remember } from './clock';
import { strike, struckBy } from './lines';
import { applyChange } from './merge';
import * as queue from './queue';
import type { Beat, Change, Documents, Light, Options, Outing, Status, SuitCurves, WhatIf } from './types';
import { linesOf } from './what-if';
import { parseUtc, pet, petAt, type PetSeconds, type UtcMs, utcMs } from './units';

export type Link = 'connecting' | 'live' | 'stale' | 'sign-in';

const queueKey = 'handrail.queue';
const authorKey = 'handrail.author';
/** A stream silent for so long is opened anew: the connection may be dead without anybody having said so. */
const reopenAfterMs = 8000;

/** Something supposed, and what would follow; nothing of it is anywhere but here. */
export interface Supposition {
  readonly asked: string;
  readonly answer: WhatIf | null;
  readonly why: string; // why there is no answer
}

export class Console {
  status = $state.raw<Status | null>(null);
  outing = $state.raw<Outing | null>(null);
  light = $state.raw<Light | null>(null); // on the station, for the PET zero it names
  options = $state.raw<Options | null>(null);
  supposed = $state.raw<Supposition | null>(null);
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
  private own = $state.raw<readonly number[]>([]); // entries written from here and not taken back, oldest first
  private written = $state.raw<readonly { line: string; position: number }[]>([]); // of them, those the status may lack
  private takeBack: string | null = null; // an entry under way that is to be taken back once it is written
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
  /** For the keys: the status as it will be with what was written here and is still on its way. */
  readonly believed: Status | null = $derived.by(() => {
    const status = this.status;
    if (!status) return null;
    const queued = this.queue.filter((entry) => entry.state !== 'refused').map((entry) => entry.line);
    return believed(status, [...this.written.filter((one) => one.position > status.position).map((one) => one.line), ...queued]);
  });
  readonly canUndo: boolean = $derived(this.own.length > 0 || this.queue.some((entry) => entry.state === 'waiting' || entry.state === 'sending'));
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
      seen: Math.max(behind?.seen ?? 0, this.seen),
    };
    this.setQueue(queue.add(this.queue, entry));
    void this.flush();
  }
  /** Takes the newest own entry back: out of the queue while it waits there, else by an entry that strikes it. */
  undo(): void {
    const newest = this.queue.at(-1);
    const position = this.own.at(-1);
    if (newest?.state === 'waiting') {
      this.drop(newest.id);
      this.say(`Not written: ${newest.line}`, 'done');
    } else if (newest?.state === 'sending') this.takeBack = newest.id;
    else if (position === undefined) this.say('Nothing was written from this page yet.', 'wrong');
    else this.submit(strike(position));
  }
  sendAnyway(id: string): void {
    this.setQueue(queue.sendAnyway(this.queue, id, this.seen));
    void this.flush();
  }
  drop(id: string): void {
    this.setQueue(queue.drop(this.queue, id));
    void this.flush();
  }

  async workOutOptions(): Promise<void> {
    this.optionsState = 'working';
    await this.newest('options', api.options(), (found) => {
      this.options = found;
      this.optionsState = 'idle';
    }, (why) => {
      this.optionsState = 'failed';
      this.optionsWhy = why;
    });
  }
  /** What would follow if these lines were logged; writes nothing. */
  async suppose(asked: string): Promise<void> {
    this.supposed = { asked, answer: null, why: '' };
    await this.newest('what if', api.whatIf(linesOf(asked)), (answer) => (this.supposed = { asked, answer, why: '' }), (why) => (this.supposed = { asked, answer: null, why }));
  }
  forget(): void {
    this.asked.set('what if', (this.asked.get('what if') ?? 0) + 1);
    this.supposed = null;
  }
  private readonly asked = new Map<string, number>();
  /** Of several questions under way the last one counts, whichever answer comes first. */
  private async newest<T>(what: string, answer: Promise<T>, take: (found: T) => void, fail: (why: string) => void): Promise<void> {
    const turn = (this.asked.get(what) ?? 0) + 1;
    this.asked.set(what, turn);
    try {
      const found = await answer;
      if (this.asked.get(what) === turn) take(found);
    } catch (error) {
      if (this.asked.get(what) === turn) fail(error instanceof Error ? error.message : String(error));
    }
  }
  /** The course of both suits; asked for while it is looked at. */
  async fetchCurves(): Promise<void> {
    await this.newest('curves', api.suits(), (found) => {
      this.curves = found;
      this.curvesWhy = '';
    }, (why) => (this.curvesWhy = why));
  }
  async fetchDocuments(): Promise<void> {
    await this.newest('documents', api.documents(), (found) => {
      this.documents = found;
      this.documentsWhy = '';
    }, (why) => (this.documentsWhy = why));
  }
  /** True when it is on disk. */
  async adopt(option: string, seen = this.options?.position ?? this.status?.position ?? 0): Promise<boolean> {
    const sent = await api.adopt(option, this.author, seen);
    if (sent.kind === 'written') {
      this.options = null;
      this.wrote('', sent.position, seen);
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

  /** The newest position anybody here knows of: an own entry counts as soon as it is written, before the status has it. */
  private get seen(): number {
    return Math.max(this.status?.position ?? 0, this.through);
  }
  private through = 0;
  /** An entry of ours stands in the journal, right behind `seen` unless somebody else wrote in between. */
  private wrote(line: string, position: number, seen: number): void {
    if (position === seen + 1) this.through = position;
    const struck = struckBy(line);
    this.own = struck === null ? [...this.own, position] : this.own.filter((one) => one !== struck);
    const known = this.status?.position ?? 0;
    this.written = [...this.written.filter((one) => one.position > known), { line, position }];
  }

  /** Sends what waits, one entry at a time. */
  private async flush(): Promise<void> {
    const entry = queue.nextToSend(this.queue);
    if (!entry || this.link === 'stale' || this.link === 'sign-in') return;
    this.setQueue(queue.sending(this.queue, entry.id));
    const sent = await api.append(entry);
    if (sent.kind === 'written') this.wrote(entry.line, sent.position, entry.seen);
    this.setQueue(queue.settle(this.queue, entry.id, sent));
    if (this.takeBack === entry.id) {
      this.takeBack = null;
      if (sent.kind === 'written') this.submit(strike(sent.position));
      else if (sent.kind === 'unreachable') this.drop(entry.id);
    }
    if (sent.kind !== 'written') return;
    this.say(`In the record: ${entry.line}`, 'done');
    void this.flush();
  }
}
