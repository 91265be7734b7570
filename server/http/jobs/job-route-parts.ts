import type { Store } from '../../jobs/open-store.ts';

/** What the routes of the job record serve. */
export interface JobRouteParts {
  readonly store: Store;
  readonly softwareVersion: string;
  /** [ms since 1970] */
  readonly wallMs: () => number;
}
