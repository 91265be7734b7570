/** What keeps the shared record from being used just now, with its code of the error catalogue. */
export type RecordsTroubleCode =
  | 'records-unreachable'
  | 'records-unsure'
  | 'records-refused'
  | 'records-newer-version';

export class RecordsTrouble extends Error {
  readonly code: RecordsTroubleCode;
  /** For the log; never holds anything of the address but its host. */
  readonly detail: string;

  constructor(code: RecordsTroubleCode, detail: string) {
    super(`${code}: ${detail}`);
    this.code = code;
    this.detail = detail;
  }
}

// SQLSTATE, PostgreSQL documentation, appendix A.
const UNREACHABLE = new Set([
  '57P01', // admin_shutdown
  '57P02', // crash_shutdown
  '57P03', // cannot_connect_now
  '57014', // query_canceled: our own time limit
  '53300', // too_many_connections
  '55P03', // lock_not_available
  '25P03', // idle_in_transaction_session_timeout
  '25006', // read_only_sql_transaction: a standby answers
]);
/** insufficient_privilege, database that is not there, disk_full, out_of_memory. */
const REFUSED = new Set(['42501', '3D000', '53100', '53200']);
const UNREACHABLE_CLASS = '08';
const REFUSED_CLASS = '28';

/**
 * What an error of the client means. Without a SQLSTATE it comes from the way to the server.
 * @returns null for a mistake of ours, or a conflict that is tried again
 */
export function recordsTrouble(error: unknown): RecordsTrouble | null {
  if (error instanceof RecordsTrouble) return error;
  if (!(error instanceof Error) || error instanceof TypeError || error instanceof RangeError) return null;
  const { code, severity } = error as { code?: unknown; severity?: unknown };
  if (typeof code === 'string' && typeof severity === 'string') {
    if (UNREACHABLE.has(code) || code.startsWith(UNREACHABLE_CLASS))
      return new RecordsTrouble('records-unreachable', code);
    if (REFUSED.has(code) || code.startsWith(REFUSED_CLASS))
      return new RecordsTrouble('records-refused', code);
    return null;
  }
  return new RecordsTrouble('records-unreachable', typeof code === 'string' ? code : error.message);
}

/** serialization_failure, deadlock_detected: the same once more will do. */
export function isConflict(error: unknown): boolean {
  const code = (error as { code?: unknown } | null)?.code;
  return code === '40001' || code === '40P01';
}
