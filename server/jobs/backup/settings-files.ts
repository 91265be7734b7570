import type { Dirent } from 'node:fs';
import { MANIFEST_FILE } from './backup-manifest.ts';

/** Settings beside the database, such as the set-up. Other files in the folder may be the person's own. */
export function isSettingsFile(entry: Dirent): boolean {
  return entry.isFile() && entry.name.endsWith('.json') && entry.name !== MANIFEST_FILE;
}
