/** A recording that is in memory, in figures. */
import type { EngineSetup } from './engine-setup.ts';
import { type Analysis, type AnalysisOptions, RecordingAnalysis } from './recording-analysis.ts';

/**
 * @param timeS rising times [s]
 * @param absoluteKpa one column per cylinder, as long as timeS [kPa absolute]; NaN where a sample is missing
 * @throws RangeError when the columns do not fit the set-up
 */
export function analyseRecording(
  timeS: ArrayLike<number>,
  absoluteKpa: readonly ArrayLike<number>[],
  setup: EngineSetup,
  options: AnalysisOptions = {},
): Analysis {
  if (absoluteKpa.length !== setup.cylinders) {
    throw new RangeError(`${setup.cylinders} columns expected, ${absoluteKpa.length} given`);
  }
  const analysis = new RecordingAnalysis(setup, options);
  const row = new Float64Array(setup.cylinders);
  for (let index = 0; index < timeS.length; index++) {
    for (let cylinder = 0; cylinder < setup.cylinders; cylinder++)
      row[cylinder] = absoluteKpa[cylinder]![index]!;
    analysis.push(timeS[index]!, row);
  }
  return analysis.finish();
}
