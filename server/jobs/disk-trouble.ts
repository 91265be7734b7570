/** What an error of the operating system says of a disk or a file; null for any other error. */
export type DiskTrouble = 'full' | 'forbidden' | 'failing' | 'other';

const TROUBLES: Readonly<Record<string, DiskTrouble>> = {
  // No room, no room for this user, no room in this file.
  ENOSPC: 'full',
  EDQUOT: 'full',
  EFBIG: 'full',
  EACCES: 'forbidden',
  EPERM: 'forbidden',
  EROFS: 'forbidden',
  EIO: 'failing',
};

export function diskTrouble(error: unknown): DiskTrouble | null {
  const code = (error as { code?: unknown } | null)?.code;
  if (typeof code !== 'string' || !/^E[A-Z]+$/.test(code)) return null;
  return TROUBLES[code] ?? 'other';
}
