/** What came of a change to an entry. */
export type Changed<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly reason: 'not-found' }
  /** It has another revision by now: this is what is stored. */
  | { readonly ok: false; readonly reason: 'changed'; readonly stored: T }
  /** Others hang on it. */
  | { readonly ok: false; readonly reason: 'in-use'; readonly detail: string }
  /** It speaks of something that does not exist. */
  | { readonly ok: false; readonly reason: 'bad-reference'; readonly detail: string };

export const notFound = { ok: false, reason: 'not-found' } as const;
export const done = <T>(value: T): Changed<T> => ({ ok: true, value });
export const changedMeanwhile = <T>(stored: T): Changed<T> => ({ ok: false, reason: 'changed', stored });
export const inUse = (detail: string) => ({ ok: false, reason: 'in-use', detail }) as const;
export const badReference = (detail: string) => ({ ok: false, reason: 'bad-reference', detail }) as const;
