export const DEFAULT_PAGE_ROWS = 50;
export const MAX_PAGE_ROWS = 200;

export interface Page<T> {
  /** All that match. */
  readonly total: number;
  readonly offset: number;
  readonly rows: T[];
}

export type PracticeFilter = 'without' | 'with' | 'only';
