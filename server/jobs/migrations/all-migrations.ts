import { captures } from './0001-captures.ts';
import type { Migration } from './migration.ts';

/** In order. */
export const ALL_MIGRATIONS: readonly Migration[] = [captures];
