import { readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';

export const ROOT = resolve(import.meta.dirname, '../..');

/** What a person reads, from the top of the project. */
export const DOCUMENTS = [
  'README.md',
  'DEVELOPERS.md',
  'server/guide/guide.md',
  'firmware-protocol/PROTOCOL.md',
  'firmware-protocol/board/README.md',
] as const;

export function textOf(document: string): string {
  return readFileSync(join(ROOT, document), 'utf8');
}

/** Everything that is written as code, in a fence or between backticks. */
export function codeIn(text: string): string[] {
  const fenced = [...text.matchAll(/^```\w*\n([\s\S]*?)^```/gm)].map((match) => match[1]!);
  const inline = [...text.replace(/^```[\s\S]*?^```/gm, '').matchAll(/`([^`\n]+)`/g)].map(
    (match) => match[1]!,
  );
  return [...fenced, ...inline];
}
