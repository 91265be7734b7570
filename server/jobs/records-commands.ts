/** `backup`, `restore`, `verify`, `export` and `import` on the command line. */
import { constants, createReadStream, createWriteStream, existsSync } from 'node:fs';
import { access } from 'node:fs/promises';
import { join, resolve } from 'node:path';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import type { Command } from 'commander';
import { type ErrorCode, sentenceFor } from '../error-catalogue.ts';
import { MANIFEST_FILE } from './backup/backup-manifest.ts';
import { makeBackup } from './backup/make-backup.ts';
import { restoreBackup } from './backup/restore-backup.ts';
import { type Verified, verifyBackup, verifyData } from './backup/verify-backup.ts';
import { diskTrouble } from './disk-trouble.ts';
import { DATABASE_FILE, openStore, type Store } from './open-store.ts';
import type { RecordsAddress } from './postgres/records-address.ts';
import { RecordsTrouble } from './postgres/records-trouble.ts';
import { momentAt, withSharedRecord } from './postgres/shared-commands.ts';
import { sqliteTrouble } from './sqlite-database.ts';
import { exportDocument } from './transfer/export-document.ts';
import { importDocument } from './transfer/import-document.ts';
import { DocumentProblem } from './transfer/read-document.ts';
import { momentOfFile, type RecordMoment } from './transfer/record-moment.ts';

export interface RecordsCommandParts {
  readonly softwareVersion: string;
  readonly wallMs: () => number;
  /** The shared record that `export` and `import` work on; null for the bench's own. */
  readonly records: () => RecordsAddress | null;
  readonly write: (text: string) => void;
  /** Ends the program with the sentence and status 1. */
  readonly fail: (sentence: string) => void;
}

/** Each takes the data folder from the program's own `--data`. */
export function registerRecordsCommands(program: Command, parts: RecordsCommandParts): void {
  const { write, fail, wallMs, softwareVersion } = parts;
  const dataDir = () => resolve(String(program.opts().data));
  const problem = (code: ErrorCode, detail: string) => fail(`${sentenceFor(code)} (${detail})`);
  /** Whether there is nothing to work on yet, which is told. */
  const isEmpty = (): boolean => {
    const empty = !existsSync(join(dataDir(), DATABASE_FILE));
    if (empty) problem('data-not-there', dataDir());
    return empty;
  };
  /** @throws a mistake of ours as it is */
  const tell = (error: unknown): void => {
    const known = knownTrouble(error);
    if (known === null) throw error;
    problem(known.code, known.detail);
  };

  program
    .command('backup')
    .description('make a backup of all data, also while the service runs, and check it')
    .argument('<folder>', 'an existing folder, such as one on a stick')
    .action(async (folder: string) => {
      if (isEmpty()) return;
      const made = await makeBackup({
        dataDir: dataDir(),
        databaseFile: DATABASE_FILE,
        folder: resolve(folder),
        atMs: wallMs(),
        softwareVersion,
      });
      if (!made.ok) return problem('backup-failed', made.detail);
      write(`${made.backup.path}\n`);
    });

  program
    .command('verify')
    .description('check a backup, or the data themselves, for damage')
    .argument('[folder]', 'a backup; the data where it is left out')
    .action(async (folder?: string) => {
      if (folder === undefined && isEmpty()) return;
      const verified = await verifiedFolder(folder === undefined ? null : resolve(folder), dataDir());
      if (!verified.ok) {
        return problem(
          folder === undefined ? 'data-damaged' : 'backup-damaged',
          verified.problems.join('; '),
        );
      }
      const { counts } = verified;
      write(
        `whole: ${counted(counts.visits, 'job')}, ${counted(counts.machines, 'machine')}, ${counted(counts.owners, 'owner')}, ${counted(counts.captures, 'capture')}, ${counted(counts.photos, 'photo')}\n`,
      );
    });

  program
    .command('restore')
    .description(
      'put a backup in the place of the data; the old data are set aside, the service must not run',
    )
    .argument('<backup>', 'the folder of one backup')
    .action(async (backup: string) => {
      const restored = await restoreBackup(resolve(backup), dataDir(), wallMs());
      if (!restored.ok) return problem(restored.code, restored.detail);
      write(`restored to ${dataDir()}\n`);
      if (restored.setAside !== null) write(`the data from before are in ${restored.setAside}\n`);
    });

  program
    .command('export')
    .description('write all jobs with their captures to a JSON document, also while the service runs')
    .argument('<file>')
    .option('--visit <id>', 'one job only')
    .action(async (file: string, options: { visit?: string }) => {
      const address = parts.records();
      if (address === null && isEmpty()) return;
      const moment = () => (address === null ? momentOfFile(dataDir(), DATABASE_FILE) : momentAt(address));
      const wish = { visitId: options.visit ?? null, exportedAtMs: wallMs(), softwareVersion };
      try {
        // Opened before the file: where there is nothing to write, one of that name stays as it is.
        const opened = closedOnce(await moment());
        try {
          if (wish.visitId !== null && (await opened.records.visits.get(wish.visitId)) === null)
            return problem('record-not-found', wish.visitId);
          const pieces = Readable.from(exportDocument(async () => opened, wish));
          await pipeline(pieces, createWriteStream(file, { mode: 0o600 }));
        } finally {
          await opened.close();
        }
        write(`${file}\n`);
      } catch (error) {
        tell(error);
      }
    });

  program
    .command('import')
    .description('take in a document written by export; what is there already is never overwritten')
    .argument('<file>')
    .action(async (file: string) => {
      try {
        await access(file, constants.R_OK);
      } catch (error) {
        return tell(error);
      }
      const opened = await openStore(dataDir());
      if (!opened.ok) return problem(opened.code, opened.detail);
      try {
        const address = parts.records();
        const take = (store: Store) => importDocument(store, () => createReadStream(file));
        const report = await (address === null
          ? take(opened.store)
          : withSharedRecord(opened.store, address, take));
        write(
          `${counted(report.added, 'entry', 'entries')}, ${counted(report.captures, 'capture')} and ${counted(report.photos, 'photo')} added; ${report.unchanged} were there\n`,
        );
        for (const { kind, id } of report.kept)
          write(`kept as it was, the file has another version: ${kind} ${id}\n`);
      } catch (error) {
        tell(error);
      } finally {
        opened.store.close();
      }
    });
}

async function verifiedFolder(folder: string | null, dataDir: string): Promise<Verified> {
  if (folder === null) return verifyData(dataDir);
  const isBackup = await access(join(folder, MANIFEST_FILE)).then(
    () => true,
    () => false,
  );
  const isData = await access(join(folder, DATABASE_FILE)).then(
    () => true,
    () => false,
  );
  return isBackup || !isData ? verifyBackup(folder) : verifyData(folder);
}

/** What has a sentence of its own in the catalogue; null for anything else. */
function knownTrouble(error: unknown): { readonly code: ErrorCode; readonly detail: string } | null {
  if (error instanceof RecordsTrouble) return { code: error.code, detail: error.detail };
  if (error instanceof DocumentProblem) return { code: error.code, detail: error.message };
  const detail = error instanceof Error ? error.message : String(error);
  const ofData = sqliteTrouble(error);
  const ofFile = diskTrouble(error);
  if (ofData === 'disk-full' || ofFile === 'full') return { code: 'disk-full', detail };
  if (ofData === 'damaged') return { code: 'data-damaged', detail };
  return ofFile === null ? null : { code: 'file-unusable', detail };
}

/** Asked to close more than once it closes once. */
function closedOnce(moment: RecordMoment): RecordMoment {
  let open = true;
  return {
    ...moment,
    async close() {
      if (!open) return;
      open = false;
      await moment.close();
    },
  };
}

function counted(count: number, one: string, more = `${one}s`): string {
  return `${count} ${count === 1 ? one : more}`;
}
