import type { CheckKind, CheckResult } from '../contract/checks.ts';

/** Where results of checks are kept. Every call is done and on the disk when it returns. */
export interface CheckResultStore {
  append(result: Omit<CheckResult, 'id'>): CheckResult;
  get(id: string): CheckResult | null;
  /** Newest first, at most `MAX_LISTED_RESULTS`. */
  list(filter?: { readonly visitId?: string; readonly kind?: CheckKind }): CheckResult[];
}

export const MAX_LISTED_RESULTS = 200;
