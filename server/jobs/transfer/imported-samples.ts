import type { SampleChunk } from '../capture-store.ts';
import { encodeSampleChunk } from '../sample-chunk-codec.ts';
import { DocumentProblem } from './read-document.ts';
import { samplesFromCsv } from './samples-csv.ts';

/**
 * The samples of one CSV text, fit to be stored.
 * @param whose what they belong to, for the sentence
 * @throws DocumentProblem
 */
export function importedSamples(csv: string, whose: string): SampleChunk {
  const chunk = samplesFromCsv(csv);
  if (chunk === null)
    throw new DocumentProblem('import-unreadable', `the samples of ${whose} are no table of whole numbers`);
  try {
    encodeSampleChunk(chunk);
  } catch {
    throw new DocumentProblem('import-unreadable', `the samples of ${whose} are out of range`);
  }
  return chunk;
}
