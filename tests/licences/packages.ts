import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

export interface LockedPackage {
  readonly name: string;
  readonly version: string;
  /** SPDX expression that the package states of itself; null where it states none. */
  readonly licence: string | null;
  /** Whether it is only needed to build and to test. */
  readonly development: boolean;
  readonly installScript: boolean;
  /** Hash of what is installed (Subresource Integrity); null where none is pinned. */
  readonly integrity: string | null;
}

interface LockEntry {
  readonly version?: string;
  readonly license?: string;
  readonly dev?: boolean;
  readonly hasInstallScript?: boolean;
  readonly integrity?: string;
}

const LOCK = fileURLToPath(new URL('../../package-lock.json', import.meta.url));
const FOLDER = 'node_modules/';

/** Every package that `package-lock.json` pins, the ones for development included, by name. */
export function lockedPackages(): LockedPackage[] {
  const { packages } = JSON.parse(readFileSync(LOCK, 'utf8')) as { packages: Record<string, LockEntry> };
  return Object.entries(packages)
    .filter(([path]) => path.includes(FOLDER))
    .map(([path, entry]) => ({
      name: path.slice(path.lastIndexOf(FOLDER) + FOLDER.length),
      version: entry.version ?? '',
      licence: entry.license ?? null,
      development: entry.dev === true,
      installScript: entry.hasInstallScript === true,
      integrity: entry.integrity ?? null,
    }))
    .sort((a, b) => (a.name < b.name ? -1 : a.name > b.name ? 1 : 0));
}
