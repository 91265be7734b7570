import { Compile } from 'typebox/compile';
import { documentLines, LineTooLong } from './document-lines.ts';
import { EXPORT_FORMAT, EXPORT_VERSION, ExportHead, ExportRecord } from './export-format.ts';

/** Why a document is not taken. */
export class DocumentProblem extends Error {
  readonly code: 'import-unreadable' | 'import-newer-format';

  constructor(code: 'import-unreadable' | 'import-newer-format', detail: string) {
    super(detail);
    this.code = code;
  }
}

const headForm = Compile(ExportHead);
const recordForm = Compile(ExportRecord);

/**
 * The records of a document in order, each checked against its form.
 * @throws DocumentProblem where it is no such document, is cut off, or a record has another form
 */
export async function* readDocument(pieces: AsyncIterable<Buffer>): AsyncGenerator<ExportRecord> {
  let lineNo = 0;
  let records = 0;
  let ended = false;
  let closed = false;
  try {
    for await (const line of documentLines(pieces)) {
      lineNo++;
      if (lineNo === 1) {
        checkHead(line);
      } else if (ended) {
        if (line === ']}') closed = true;
        else if (line !== '') throw unreadable(lineNo, 'text after the end');
      } else {
        const record = checkedRecord(line, lineNo);
        if (record.kind === 'end') {
          ended = true;
          if (record.records !== records) throw unreadable(lineNo, 'records are missing');
        } else {
          records++;
          yield record;
        }
      }
    }
  } catch (error) {
    if (error instanceof LineTooLong) throw unreadable(lineNo + 1, 'the line is too long');
    throw error;
  }
  if (lineNo === 0) throw new DocumentProblem('import-unreadable', 'the file is empty');
  if (!closed) throw new DocumentProblem('import-unreadable', 'the file is cut off');
}

function checkHead(line: string): void {
  const head = parsed(line.replace(/,"records":\[$/, '}'));
  const isOurs =
    typeof head === 'object' && head !== null && 'format' in head && head.format === EXPORT_FORMAT;
  if (!isOurs || !headForm.Check(head)) throw unreadable(1, 'it is no export of this program');
  if (head.version > EXPORT_VERSION) {
    throw new DocumentProblem('import-newer-format', `format version ${head.version}`);
  }
}

function checkedRecord(line: string, lineNo: number): ExportRecord {
  const record = parsed(line.replace(/,$/, ''));
  if (!recordForm.Check(record)) {
    const kind = typeof record === 'object' && record !== null && 'kind' in record ? record.kind : null;
    throw unreadable(
      lineNo,
      typeof kind === 'string' ? `the ${kind.slice(0, 20)} has another form` : 'no record',
    );
  }
  return record;
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}

const unreadable = (lineNo: number, what: string) =>
  new DocumentProblem('import-unreadable', `line ${lineNo}: ${what}`);
