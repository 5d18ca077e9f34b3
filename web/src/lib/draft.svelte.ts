// A draft of the rest of the day: edits one after the other, each answered by the server with what the checker finds.
// Nothing of it is in the record until it is adopted.
import * as api from './api';
import type { Activity, CrewId, Draft, Edit, Lane, Status } from './types';
import { pet, type PetSeconds, printPet } from './units';

export interface Done {
  readonly edit: Edit;
  readonly words: string;
}

export class Drafting {
  on = $state(false);
  edits = $state.raw<readonly Done[]>([]);
  current = $state.raw<Draft | null>(null); // after the edits
  preview = $state.raw<Draft | null>(null); // while something is dragged
  trouble = $state(''); // why the last edit was refused
  working = $state(false);
  picked = $state<string | null>(null); // label of a step

  private trail: readonly Draft[] = [];
  private wished: ReadonlyMap<string, PetSeconds> = new Map(); // starts of edits that are still being answered
  private line: Promise<unknown> = Promise.resolve(); // edits are kept one after the other
  private inLine = 0;
  private busy = false;
  private waiting: Edit | null = null;
  private turn = 0; // answers to earlier drags are too late

  readonly shown: Draft | null = $derived(this.preview ?? this.current);

  /** `latest`: the day as the page knows it now. */
  constructor(private readonly latest: () => Status | null) {}

  /** Goes on with what was drafted before, if anything. */
  start(): void {
    this.endDrag();
    this.on = true;
  }
  /** The draft is put aside; `start` takes it up again. */
  leave(): void {
    this.endDrag();
    this.on = false;
  }
  /** Every edit is forgotten. */
  reset(): void {
    this.endDrag();
    this.trail = [];
    this.edits = [];
    this.current = null;
    this.trouble = '';
    this.picked = null;
  }
  activities(status: Status): readonly Activity[] {
    return this.shown?.option?.activities ?? status.forecast.activities;
  }
  /** Where a step will start once the edits under way are answered. */
  startOf(activity: Activity): PetSeconds {
    return (activity.label !== null ? this.wished.get(activity.label) : undefined) ?? pet(activity.start_s);
  }

  /** Shows what this edit would do: one question at a time, the next one always the newest wish. */
  async drag(edit: Edit): Promise<void> {
    this.waiting = edit;
    if (this.busy) return;
    this.busy = true;
    while (this.waiting) {
      const next: Edit = this.waiting;
      const turn = this.turn;
      this.waiting = null;
      try {
        const answer = await this.ask(next);
        if (turn !== this.turn) continue;
        if (answer.refused === null) this.preview = answer;
        this.trouble = answer.refused ?? '';
      } catch (error) {
        if (turn === this.turn) this.trouble = wordsOf(error);
      }
    }
    this.busy = false;
  }

  /** Keeps this edit, after those asked for before it; true when the server could. */
  keep(edit: Edit, words: string): Promise<boolean> {
    this.endDrag();
    if (edit.kind === 'pin' && edit.step !== undefined && edit.from_s !== undefined) this.wished = new Map(this.wished).set(edit.step, pet(edit.from_s));
    return this.queued(() => this.keepNow(edit, words));
  }
  undo(): void {
    this.endDrag();
    void this.queued(() => {
      this.trail = this.trail.slice(0, -1);
      this.edits = this.edits.slice(0, -1);
      this.current = this.trail.at(-1) ?? null;
      this.trouble = '';
      return Promise.resolve(true);
    });
  }
  /** The same edits once more, on what has been written since. */
  replay(): Promise<boolean> {
    this.endDrag();
    return this.queued(() => this.replayNow());
  }
  outdated(status: Status): boolean {
    return this.current !== null && this.current.position !== status.position;
  }

  private queued(act: () => Promise<boolean>): Promise<boolean> {
    this.inLine += 1;
    this.working = true;
    const done = this.line.then(act).finally(() => {
      this.inLine -= 1;
      if (this.inLine > 0) return;
      this.working = false;
      this.wished = new Map();
    });
    this.line = done;
    return done;
  }
  private async keepNow(edit: Edit, words: string): Promise<boolean> {
    try {
      const position = this.latest()?.position;
      if (this.current && this.current.position !== position && !(await this.replayNow())) return false;
      return this.took(await this.ask(edit), edit, words);
    } catch (error) {
      if (!(error instanceof api.Behind) || !(await this.caughtUp(error.position))) {
        this.trouble = wordsOf(error);
        return false;
      }
      // Somebody wrote meanwhile, perhaps this page: once more on the newer state.
      return (await this.replayNow()) && this.keepOnce(edit, words);
    }
  }
  private async keepOnce(edit: Edit, words: string): Promise<boolean> {
    try {
      return this.took(await this.ask(edit), edit, words);
    } catch (error) {
      this.trouble = wordsOf(error);
      return false;
    }
  }
  private took(answer: Draft, edit: Edit, words: string): boolean {
    this.trouble = answer.refused ?? '';
    if (answer.refused !== null) return false;
    this.trail = [...this.trail, answer];
    this.edits = [...this.edits, { edit, words }];
    this.current = answer;
    return true;
  }
  /** What stands is shown until all of it has been made anew; an edit that is no longer possible is named and left out. */
  private async replayNow(): Promise<boolean> {
    const trail: Draft[] = [];
    const made: Done[] = [];
    const refused: string[] = [];
    const position = this.latest()?.position ?? 0;
    for (const { edit, words } of this.edits) {
      try {
        const answer = await api.draft(position, trail.at(-1)?.draft ?? null, edit);
        if (answer.refused === null) {
          trail.push(answer);
          made.push({ edit, words });
        } else refused.push(`${words}: ${answer.refused}`);
      } catch (error) {
        this.trouble = wordsOf(error);
        return false;
      }
    }
    this.trail = trail;
    this.edits = made;
    this.current = trail.at(-1) ?? null;
    this.trouble = refused.length ? `No longer possible, left out of the draft. ${refused.join(' ')}` : '';
    return true;
  }
  private ask(edit: Edit): Promise<Draft> {
    return api.draft(this.current?.position ?? this.latest()?.position ?? 0, this.current?.draft ?? null, edit);
  }
  /** Waits until the page itself knows the day up to `position`; false when it does not come. */
  private async caughtUp(position: number): Promise<boolean> {
    for (let tries = 0; tries < 60; ++tries) {
      if ((this.latest()?.position ?? 0) >= position) return true;
      await new Promise((resolve) => setTimeout(resolve, 50));
    }
    return false;
  }
  private endDrag(): void {
    this.turn += 1;
    this.waiting = null;
    this.preview = null;
  }
}

const wordsOf = (error: unknown): string => (error instanceof Error ? error.message : String(error));
export const other = (crew: CrewId): CrewId => (crew === 'EV1' ? 'EV2' : 'EV1');
const taskOf = (label: string, list: readonly Activity[]): string | null => list.find((one) => one.label === label)?.task ?? null;

export function leadOf(status: Status, draft: Draft | null, task: string): CrewId {
  const wished = draft?.wishes?.lead?.find((one) => one.task === task)?.lead;
  return wished ?? status.plan?.bindings.find((one) => one.task === task)?.lead ?? 'EV1';
}

/** What dragging a step means: along its lane another time; to the other lane, its task in other hands. */
export function meant(status: Status, draft: Draft | null, list: readonly Activity[], label: string, to: PetSeconds, lane: Lane): Done | null {
  const activity = list.find((one) => one.label === label);
  if (!activity) return null;
  const name = activity.title;
  const task = taskOf(label, list);
  if ((lane === 'EV1' || lane === 'EV2') && !activity.lanes.includes(lane) && task !== null) {
    const lead = other(leadOf(status, draft, task));
    return { edit: { kind: 'give', task, lead }, words: `${name.split(': ')[0] ?? name}: ${lead} leads` };
  }
  return { edit: { kind: 'pin', step: label, from_s: to, to_s: to }, words: `${name} at ${printPet(pet(to))}` };
}
