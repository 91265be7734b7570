import { readdirSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { describe, expect, test } from 'vitest';
import { SOURCE_ERROR_CODES } from '../../server/board/byte-source.ts';
import { ERROR_CATALOGUE } from '../../server/error-catalogue.ts';

const ROOT = resolve(import.meta.dirname, '../..');
const ENTRIES = Object.entries(ERROR_CATALOGUE);

/** Rows of the table in the section 'Error codes'. */
function documented(): string[][] {
  const text = readFileSync(join(ROOT, 'DEVELOPERS.md'), 'utf8');
  const section = text.split(/^## /m).find((part) => part.startsWith('Error codes'));
  if (section === undefined) throw new Error("DEVELOPERS.md has no section 'Error codes'");
  return section
    .split('\n')
    .filter((line) => line.startsWith('| `'))
    .map((line) =>
      line
        .split('|')
        .slice(1, -1)
        .map((cell) => cell.trim()),
    );
}

describe('the error catalogue', () => {
  test('is the same in DEVELOPERS.md and in the code', () => {
    const expected = ENTRIES.map(([code, { httpStatus, message, whatToDo }]) => [
      `\`${code}\``,
      httpStatus === 0 ? '' : String(httpStatus),
      message,
      whatToDo,
    ]);
    expect(documented()).toEqual(expected);
  });

  test.each(ENTRIES)(
    '%s is one clear sentence and says what to do',
    (code, { message, whatToDo, httpStatus }) => {
      expect(code).toMatch(/^[a-z]+(-[a-z]+)+$/);
      expect(message).toMatch(/^[A-Z].*\.$/);
      expect(whatToDo).toMatch(/^[A-Z].*\.$/);
      expect(message.length).toBeLessThanOrEqual(110);
      expect(`${message}${whatToDo}`).not.toMatch(/undefined|null|errno|stack|exception/i);
      expect([0, 400, 401, 403, 404, 405, 409, 413, 415, 429, 500, 503, 507]).toContain(httpStatus);
    },
  );

  test('has an entry for every way in which a source can fail', () => {
    for (const code of SOURCE_ERROR_CODES) expect(Object.keys(ERROR_CATALOGUE)).toContain(code);
  });

  test('has no entry that nothing uses', () => {
    const code = readdirSync(join(ROOT, 'server'), { withFileTypes: true, recursive: true })
      .filter((entry) => entry.isFile() && entry.name.endsWith('.ts') && !entry.name.endsWith('-errors.ts'))
      .map((entry) => readFileSync(join(entry.parentPath, entry.name), 'utf8'))
      .join('\n');
    expect(ENTRIES.map(([name]) => name).filter((name) => !code.includes(`'${name}'`))).toEqual([]);
  });
});
