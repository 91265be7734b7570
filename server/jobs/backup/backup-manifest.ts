import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import Type, { type Static } from 'typebox';
import { Compile } from 'typebox/compile';

export const MANIFEST_FILE = 'manifest.json';
export const BACKUP_FORMAT = 'idlewright-backup';
export const BACKUP_FORMAT_VERSION = 1;

/** Written last: a backup without it is not complete. */
export const BackupManifest = Type.Object({
  format: Type.Literal(BACKUP_FORMAT),
  version: Type.Integer({ minimum: 1 }),
  madeAtMs: Type.Number(),
  softwareVersion: Type.String(),
  files: Type.Array(
    Type.Object({
      /** With `/` between folders, within the backup. */
      path: Type.String({ pattern: '^(?!/)(?!.*(^|/)\\.\\.(/|$))[^\\u0000\\\\]+$' }),
      bytes: Type.Integer({ minimum: 0 }),
      sha256: Type.String({ pattern: '^[0-9a-f]{64}$' }),
    }),
  ),
});
export type BackupManifest = Static<typeof BackupManifest>;

const manifestForm = Compile(BackupManifest);

/** null where there is none or it is not ours. */
export async function readManifest(folder: string): Promise<BackupManifest | null> {
  try {
    const manifest: unknown = JSON.parse(await readFile(join(folder, MANIFEST_FILE), 'utf8'));
    return manifestForm.Check(manifest) ? manifest : null;
  } catch {
    return null;
  }
}

/** SHA-256 in hexadecimal and length of a file, without holding it in memory. */
export async function fileDigest(path: string): Promise<{ sha256: string; bytes: number }> {
  const hash = createHash('sha256');
  let bytes = 0;
  for await (const piece of createReadStream(path)) {
    hash.update(piece as Buffer);
    bytes += (piece as Buffer).length;
  }
  return { sha256: hash.digest('hex'), bytes };
}
