import type { Entry, EntryBody, EntryFields, EntryKind } from '../../../server/contract/jobs-entries.ts';
import type { Job } from '../../../server/contract/jobs-views.ts';
import { tell } from '../../link/notice.ts';
import { records } from './record-api.ts';
import { type Change, type EntryEdit, useEntry } from './use-entry.ts';

export type BodyOf<K extends EntryKind> = Extract<EntryBody, { kind: K }>;
export type LineOf<K extends EntryKind> = Entry & { readonly body: BodyOf<K> };

/** The lines of one kind, in their order. */
export function linesOf<K extends EntryKind>(job: Job, kind: K): LineOf<K>[] {
  return job.entries.filter((entry): entry is LineOf<K> => entry.body.kind === kind);
}

export interface LineEdit<K extends EntryKind>
  extends Omit<EntryEdit<EntryFields>, 'draft' | 'set' | 'save'> {
  readonly body: BodyOf<K>;
  readonly set: (change: Change<BodyOf<K>>) => void;
  readonly save: (change?: Change<BodyOf<K>>) => void;
  readonly remove: () => Promise<void>;
}

/** One line of a job under edit. */
export function useLine<K extends EntryKind>(line: LineOf<K>, again: () => void): LineEdit<K> {
  const edit = useEntry<EntryFields, Entry>(
    `line ${line.id}`,
    { revision: line.revision, fields: fieldsOf(line) },
    (revision, fields) => records.changeEntry(line.id, revision, fields),
    fieldsOf,
    again,
  );
  const body = edit.draft.body as BodyOf<K>;
  // From the line as it is by then: a picture that was long on its way takes nothing back that was typed meanwhile.
  const ofBody = (change: Change<BodyOf<K>>) => (draft: EntryFields) => {
    const now = draft.body as BodyOf<K>;
    return { body: { ...now, ...(typeof change === 'function' ? change(now) : change) } };
  };
  return {
    ...edit,
    body,
    set: (change) => edit.set(ofBody(change)),
    save: (change) => edit.save(change === undefined ? undefined : ofBody(change)),
    remove: async () => {
      await tell(records.removeEntry(line.id, line.revision));
      again();
    },
  };
}

/** A new line at the end of the job. */
export async function addLine(job: Job, body: EntryBody, again: () => void): Promise<boolean> {
  const position = Math.max(0, ...job.entries.map((entry) => entry.position)) + 1;
  const made = await tell(records.addEntry(job.visit.id, { position, body }));
  if (made.ok) again();
  return made.ok;
}

const fieldsOf = ({ position, body }: Entry): EntryFields => ({ position, body });
