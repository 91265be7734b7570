import type { CheckResult } from '../../../server/contract/checks.ts';
import type { ErrorBody } from '../../../server/contract/http.ts';
import type {
  Machine,
  MachineFields,
  Owner,
  OwnerFields,
  Photo,
  Shop,
  ShopFields,
  Visit,
  VisitFields,
  VisitStart,
} from '../../../server/contract/jobs.ts';
import type { Entry, EntryFields } from '../../../server/contract/jobs-entries.ts';
import type {
  BackupState,
  Comparison,
  ImportReport,
  Job,
  MachineRow,
  RecordSharing,
  VisitRow,
} from '../../../server/contract/jobs-views.ts';
import { call } from '../../link/api.ts';

export interface Page<T> {
  readonly total: number;
  readonly offset: number;
  readonly rows: readonly T[];
}

/** Large pictures and imports take their time on an old tablet [ms]. */
const UPLOAD_TIMEOUT_MS = 120_000;

const at = (path: string, id: string) => `api/${path}/${encodeURIComponent(id)}`;
const query = (fields: Readonly<Record<string, string | undefined>>) =>
  new URLSearchParams(
    Object.entries(fields).filter((one): one is [string, string] => one[1] !== undefined && one[1] !== ''),
  ).toString();

/** The job record over HTTP. */
export const records = {
  visits: (question: Readonly<Record<string, string | undefined>>) =>
    call<Page<VisitRow>>('GET', `api/visits?${query(question)}`),
  machines: (question: Readonly<Record<string, string | undefined>>) =>
    call<Page<MachineRow>>('GET', `api/machines?${query(question)}`),
  owners: (q: string) => call<Page<Owner>>('GET', `api/owners?${query({ q, limit: '20' })}`),
  job: (id: string) => call<Job>('GET', at('visits', id)),
  startVisit: (start: VisitStart) => call<Visit>('POST', 'api/visits', start),
  changeVisit: (id: string, revision: number, fields: VisitFields) =>
    call<Visit>('PUT', at('visits', id), { revision, fields }),
  removeVisit: (id: string, revision: number) =>
    call<null>('DELETE', `${at('visits', id)}?revision=${revision}`),
  addEntry: (visitId: string, fields: EntryFields) =>
    call<Entry>('POST', `${at('visits', visitId)}/entries`, fields),
  changeEntry: (id: string, revision: number, fields: EntryFields) =>
    call<Entry>('PUT', at('entries', id), { revision, fields }),
  removeEntry: (id: string, revision: number) =>
    call<null>('DELETE', `${at('entries', id)}?revision=${revision}`),
  takeCapture: (visitId: string, captureId: string) =>
    call<unknown>('PUT', `${at('visits', visitId)}/captures/${encodeURIComponent(captureId)}`),
  dropCapture: (visitId: string, captureId: string) =>
    call<unknown>('DELETE', `${at('visits', visitId)}/captures/${encodeURIComponent(captureId)}`),
  checkResults: (visitId: string) => call<CheckResult[]>('GET', `api/checks/results?${query({ visitId })}`),
  comparison: (visitId: string) => call<Comparison>('GET', `${at('visits', visitId)}/comparison`),
  machine: (id: string) => call<Machine>('GET', at('machines', id)),
  addMachine: (fields: MachineFields) => call<Machine>('POST', 'api/machines', fields),
  changeMachine: (id: string, revision: number, fields: MachineFields) =>
    call<Machine>('PUT', at('machines', id), { revision, fields }),
  owner: (id: string) => call<Owner>('GET', at('owners', id)),
  addOwner: (fields: OwnerFields) => call<Owner>('POST', 'api/owners', fields),
  changeOwner: (id: string, revision: number, fields: OwnerFields) =>
    call<Owner>('PUT', at('owners', id), { revision, fields }),
  shop: () => call<Shop>('GET', 'api/shop'),
  changeShop: (revision: number, fields: ShopFields) => call<Shop>('PUT', 'api/shop', { revision, fields }),
  backups: () => call<BackupState>('GET', 'api/records/backups'),
  backUp: () => call<BackupState>('POST', 'api/records/backups', undefined, UPLOAD_TIMEOUT_MS),
  sharing: () => call<RecordSharing>('GET', 'api/records/sharing'),
  /** The program looks at the bytes; what a device calls a picture varies. */
  addPhoto: (picture: Blob) =>
    call<Photo>(
      'POST',
      'api/photos',
      new Blob([picture], { type: 'application/octet-stream' }),
      UPLOAD_TIMEOUT_MS,
    ),
  importRecords: (file: Blob) =>
    call<ImportReport>(
      'POST',
      'api/records/import',
      new Blob([file], { type: 'application/json' }),
      UPLOAD_TIMEOUT_MS,
    ),
};

/** Addresses that the browser opens itself. */
export const addresses = {
  report: (visitId: string) => `${at('visits', visitId)}/report`,
  figures: (visitId: string) => `${at('visits', visitId)}/figures.csv`,
  jobExport: (visitId: string) => `${at('visits', visitId)}/export`,
  everything: () => 'api/records/export',
  table: (question: Readonly<Record<string, string | undefined>>) => `api/visits.csv?${query(question)}`,
  photo: (id: string) => at('photos', id),
};

/** What another screen has stored meanwhile, where that is why a change was refused. */
export function storedMeanwhile<T>(error: ErrorBody): T | null {
  return 'stored' in error ? (error.stored as T) : null;
}
