import type { Migration } from './migration.ts';

/** The words of every entry in one plain table, and SQLite's full-text index over it, kept level by triggers. */
export const search: Migration = {
  version: 3,
  title: 'full-text search',
  statements: [
    `CREATE TABLE search_texts (
      text_no INTEGER PRIMARY KEY,
      record_id TEXT NOT NULL UNIQUE,
      kind TEXT NOT NULL,
      words TEXT NOT NULL
    ) STRICT`,
    `CREATE VIRTUAL TABLE search_index USING fts5 (
      words, content = 'search_texts', content_rowid = 'text_no',
      tokenize = 'unicode61 remove_diacritics 2', prefix = '2 3'
    )`,
    `CREATE TRIGGER search_text_added AFTER INSERT ON search_texts BEGIN
      INSERT INTO search_index (rowid, words) VALUES (new.text_no, new.words);
    END`,
    `CREATE TRIGGER search_text_removed AFTER DELETE ON search_texts BEGIN
      INSERT INTO search_index (search_index, rowid, words) VALUES ('delete', old.text_no, old.words);
    END`,
    `CREATE TRIGGER search_text_changed AFTER UPDATE ON search_texts BEGIN
      INSERT INTO search_index (search_index, rowid, words) VALUES ('delete', old.text_no, old.words);
      INSERT INTO search_index (rowid, words) VALUES (new.text_no, new.words);
    END`,
  ],
};
