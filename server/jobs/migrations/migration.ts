/** One step forward of the database's layout. Steps are never edited once released: a new one is added. */
export interface Migration {
  /** 1, 2, 3 … without a gap; kept in the file as `user_version`. */
  readonly version: number;
  readonly title: string;
  readonly statements: readonly string[];
  /**
   * For a shared record on PostgreSQL, where it takes more than other names of the types. Empty for what stays with the
   * bench.
   */
  readonly onPostgres?: readonly string[];
}
