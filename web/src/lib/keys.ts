// Which key does what. EV1 stands on the left of the page and under the left hand, EV2 on the right and under the right.
export type Action =
  | 'ev1 started' | 'ev1 finished' | 'ev2 started' | 'ev2 finished'
  | 'ev1 reading' | 'ev2 reading'
  | 'hold' | 'private hold' | 'next phase' | 'undo'
  | 'line' | 'options' | 'timeline' | 'map' | 'suits' | 'briefing' | 'forms' | 'edit' | 'far' | 'theme' | 'help';

export interface Key {
  readonly key: string;
  readonly action: Action;
  readonly words: string;
  readonly writes: boolean;
}

export const keys: readonly Key[] = [
  { key: 'a', action: 'ev1 started', words: 'EV1 started the next step', writes: true },
  { key: 's', action: 'ev1 finished', words: 'EV1 finished this step', writes: true },
  { key: 'k', action: 'ev2 started', words: 'EV2 started the next step', writes: true },
  { key: 'l', action: 'ev2 finished', words: 'EV2 finished this step', writes: true },
  { key: 'd', action: 'ev1 reading', words: 'A reading of EV1’s suit: then O, C, W or B, and the number', writes: true },
  { key: 'j', action: 'ev2 reading', words: 'A reading of EV2’s suit, likewise', writes: true },
  { key: 'h', action: 'hold', words: 'Hold, or resume', writes: true },
  { key: 'p', action: 'private hold', words: 'Private hold: others see only that work is held', writes: true },
  { key: 'n', action: 'next phase', words: 'The day moves on: PET zero, egress done, …', writes: true },
  { key: 'u', action: 'undo', words: 'Take back my last entry', writes: true },
  { key: '/', action: 'line', words: 'Type a line into the record', writes: true },
  { key: 'o', action: 'options', words: 'Ways on from here', writes: false },
  { key: '1', action: 'timeline', words: 'Show the timeline', writes: false },
  { key: '2', action: 'map', words: 'Show the map', writes: false },
  { key: '3', action: 'suits', words: 'Show the suits', writes: false },
  { key: '4', action: 'briefing', words: 'Show the briefing: every document', writes: false },
  { key: '5', action: 'forms', words: 'Show the outing file’s forms', writes: false },
  { key: 'e', action: 'edit', words: 'Draft the rest of the day by hand; nothing is adopted by that', writes: false },
  { key: 'f', action: 'far', words: 'From afar: the clocks and both crew fill the screen', writes: false },
  { key: 't', action: 'theme', words: 'Light, dark or high contrast', writes: false },
  { key: '?', action: 'help', words: 'Show these keys', writes: false },
];

export const keyFor = (action: Action): string => keys.find((one) => one.action === action)?.key.toUpperCase() ?? '';

export interface Press {
  readonly key: string;
  readonly ctrlKey: boolean;
  readonly metaKey: boolean;
  readonly altKey: boolean;
  readonly repeat: boolean;
  /** The focus is where letters are typed. */
  readonly typing: boolean;
}

/** What a key press means, if anything. A key held down writes once. */
export function actionOf(press: Press, oneKeyEntries: boolean): Action | null {
  if (press.ctrlKey || press.metaKey || press.altKey || press.repeat || press.typing) return null;
  const found = keys.find((one) => one.key === press.key.toLowerCase());
  if (!found || (found.writes && found.action !== 'line' && !oneKeyEntries)) return null;
  return found.action;
}

const letterless = ['checkbox', 'radio', 'range', 'button', 'submit', 'reset', 'file', 'color'];
/** Whether letters pressed there are text, or move through a list. */
export function takesLetters(target: EventTarget | null): boolean {
  if (!(target instanceof HTMLElement)) return false;
  if (target instanceof HTMLInputElement) return !letterless.includes(target.type);
  return target instanceof HTMLSelectElement || target instanceof HTMLTextAreaElement || target.isContentEditable;
}
