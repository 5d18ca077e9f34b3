// Where a document is found, and whether it still holds. Pure.
import type { Status } from './types';

/** A document as it was made: `position` and `planPosition` are what the page knew then. */
export interface Shown {
  readonly kind: string;
  readonly reader: string;
  readonly format: string | null;
  readonly size: 'normal' | 'large';
  readonly planPosition: number;
  readonly position: number;
}

/** `at` keeps the browser from showing one made earlier; the server does not look at it. */
export function documentPath(one: Shown): string {
  const wish = new URLSearchParams({ kind: one.kind });
  if (one.format) wish.set('format', one.format);
  if (one.reader) wish.set('for', one.reader);
  if (one.size === 'large') wish.set('size', 'large');
  wish.set('at', String(one.position));
  return `/api/v1/document?${wish.toString()}`;
}

export function outdated(one: Shown, status: Pick<Status, 'position' | 'plan'>): 'superseded' | 'older' | null {
  if ((status.plan?.position ?? 0) !== one.planPosition) return 'superseded';
  return status.position === one.position ? null : 'older';
}
