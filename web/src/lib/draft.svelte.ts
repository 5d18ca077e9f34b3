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
  private busy = false;
  private waiting: Edit | null = null;
  private turn = 0; // answers to earlier drags are too late

  readonly shown: Draft | null = $derived(this.preview ?? this.current);

  start(): void {
    this.reset();
    this.on = true;
  }
  stop(): void {
    this.reset();
    this.on = false;
  }
  activities(status: Status): readonly Activity[] {
    return this.shown?.option?.activities ?? status.forecast.activities;
  }

  /** Shows what this edit would do; asks again only when the answer before has come, with the newest wish. */
  async drag(status: Status, edit: Edit): Promise<void> {
    this.waiting = edit;
    if (this.busy) return;
    this.busy = true;
    const turn = this.turn;
    while (this.waiting && turn === this.turn) {
      const next: Edit = this.waiting;
      this.waiting = null;
      try {
        const answer = await api.draft(this.current?.position ?? status.position, this.current?.draft ?? null, next);
        if (turn !== this.turn) break;
        if (answer.refused === null) this.preview = answer;
        this.trouble = answer.refused ?? '';
      } catch (error) {
        this.trouble = error instanceof Error ? error.message : String(error);
        break;
      }
    }
    this.busy = false;
  }

  /** Keeps this edit; true when the server could. */
  async keep(status: Status, edit: Edit, words: string): Promise<boolean> {
    this.endDrag();
    this.working = true;
    try {
      if (this.current && this.current.position !== status.position) await this.replay(status);
      const answer = await api.draft(status.position, this.current?.draft ?? null, edit);
      if (answer.refused !== null) {
        this.trouble = answer.refused;
        return false;
      }
      this.trouble = '';
      this.trail = [...this.trail, answer];
      this.edits = [...this.edits, { edit, words }];
      this.current = answer;
      return true;
    } catch (error) {
      this.trouble = error instanceof Error ? error.message : String(error);
      return false;
    } finally {
      this.working = false;
    }
  }
  undo(): void {
    this.endDrag();
    this.trail = this.trail.slice(0, -1);
    this.edits = this.edits.slice(0, -1);
    this.current = this.trail.at(-1) ?? null;
    this.trouble = '';
  }
  /** The same edits once more, on what has been written since. */
  async replay(status: Status): Promise<void> {
    const wanted = this.edits;
    const picked = this.picked;
    this.reset();
    this.picked = picked;
    for (const { edit, words } of wanted) if (!(await this.keep(status, edit, words))) break;
  }
  outdated(status: Status): boolean {
    return this.current !== null && this.current.position !== status.position;
  }

  private endDrag(): void {
    this.turn += 1;
    this.waiting = null;
    this.preview = null;
  }
  private reset(): void {
    this.endDrag();
    this.trail = [];
    this.edits = [];
    this.current = null;
    this.trouble = '';
    this.picked = null;
  }
}

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
