import { useState } from 'preact/hooks';
import type { ImportReport } from '../../../server/contract/jobs-views.ts';
import { tell } from '../../link/notice.ts';
import { FileChoice } from './file-choice.tsx';
import { addresses, records } from './record-api.ts';

/** The whole record as one file, and such a file taken in. */
export function TransferPart() {
  const [report, setReport] = useState<ImportReport | null>(null);
  const take = async ([file]: readonly File[]) => {
    setReport(null);
    const answer = await tell(records.importRecords(file!));
    if (answer.ok) setReport(answer.value);
  };
  return (
    <section class="panel" aria-labelledby="transfer-name">
      <h2 class="panel-name" id="transfer-name">
        Take the record along
      </h2>
      <p class="field-note">
        Everything as one file, with photos and raw samples. Reading such a file adds what is not here yet and
        changes nothing that is.
      </p>
      <div class="button-row">
        <a class="file-link" href={addresses.everything()} download>
          Everything as a file
        </a>
        <FileChoice words="Read a file" busyWords="Reading" accept="application/json,.json" take={take} />
      </div>
      {report !== null && (
        <p role="status" data-testid="import-report">
          {importWords(report)}
        </p>
      )}
    </section>
  );
}

function importWords({ added, unchanged, kept, photos, captures }: ImportReport): string {
  const came = [
    added === 0 ? '' : counted(added, 'entry', 'entries'),
    photos === 0 ? '' : counted(photos, 'photo', 'photos'),
    captures === 0 ? '' : counted(captures, 'capture', 'captures'),
  ].filter((part) => part !== '');
  const sentences = [
    came.length === 0 ? 'There was nothing new in the file.' : `Taken in: ${came.join(', ')}.`,
    unchanged === 0 ? '' : `Here already: ${unchanged}.`,
    kept.length === 0 ? '' : `Different here, and left as they are: ${kept.length}.`,
  ];
  return sentences.filter((sentence) => sentence !== '').join(' ');
}

const counted = (count: number, one: string, more: string): string => `${count} ${count === 1 ? one : more}`;
