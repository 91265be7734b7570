import { UnsavedDrafts } from './unsaved-drafts.ts';

/** Those of this browser. */
export const drafts = new UnsavedDrafts(
  () => localStorage,
  () => Date.now(),
);
drafts.forgetOld();
