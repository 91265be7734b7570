import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { codeIn, DOCUMENTS, ROOT, textOf } from './documents.ts';

/** As a repository's web page names its headings. */
function anchorsOf(text: string): string[] {
  return [...text.matchAll(/^#+ (.+)$/gm)].map((match) =>
    match[1]!
      .toLowerCase()
      .replace(/[^\p{L}\p{N} -]/gu, '')
      .replace(/ /g, '-'),
  );
}

describe.each(DOCUMENTS)('%s', (document) => {
  const text = textOf(document);

  test('links only to files and headings that are there', () => {
    const broken: string[] = [];
    for (const [, target] of text.replace(/^```[\s\S]*?^```/gm, '').matchAll(/\]\(([^)\s]+)\)/g)) {
      if (/^https?:/.test(target!)) continue;
      const [path = '', anchor] = target!.split('#');
      const file = path === '' ? join(ROOT, document) : join(ROOT, dirname(document), path);
      if (!existsSync(file)) broken.push(target!);
      else if (anchor !== undefined && !anchorsOf(readFileSync(file, 'utf8')).includes(anchor))
        broken.push(target!);
    }
    expect(broken).toEqual([]);
  });

  test('names only files of the project that are there', () => {
    const named = codeIn(text)
      .filter((code) => /^(server|client|tests|calibration|firmware-protocol|\.ci)\/[\w./-]+$/.test(code))
      .filter((path) => !existsSync(join(ROOT, path)));
    expect(named).toEqual([]);
  });
});
