/** The states of a job. Apart from the schemas, so that a screen can have the words without them. */
export const VISIT_STATES = [
  'taken-in',
  'waiting-for-owner',
  'waiting-for-parts',
  'on-the-bench',
  'ready',
  'handed-over',
] as const;
export type VisitState = (typeof VISIT_STATES)[number];

/** The shop's words for the states; screens and the report show these. */
export const VISIT_STATE_WORDS: Readonly<Record<VisitState, string>> = {
  'taken-in': 'taken in',
  'waiting-for-owner': 'waiting for the owner',
  'waiting-for-parts': 'waiting for parts',
  'on-the-bench': 'on the bench',
  ready: 'ready',
  'handed-over': 'handed over',
};
