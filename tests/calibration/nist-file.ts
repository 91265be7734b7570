import { readFileSync } from 'node:fs';

/** A file of the NIST Statistical Reference Datasets. */
export interface NistFile {
  readonly header: string;
  /** Rows of numbers behind the last line that begins with `Data:`. */
  readonly rows: readonly (readonly number[])[];
}

export function readNist(name: string): NistFile {
  const path = new URL(`../fixtures/nist/${name}`, import.meta.url);
  const lines = readFileSync(path, 'latin1').split(/\r?\n/);
  const heading = lines.findLastIndex((line) => line.startsWith('Data:'));
  const rows = lines
    .slice(heading + 1)
    .filter((line) => !/^\s*-+\s*$/.test(line))
    .map((line) => line.trim().split(/\s+/).filter(Boolean).map(Number))
    .filter((row) => row.length > 0);
  if (rows.some((row) => row.some(Number.isNaN))) throw new Error(`${name} has text among its data`);
  return { header: lines.slice(0, heading).join('\n'), rows };
}
