import { analyseRecording } from '../../server/signal/analyse-recording.ts';
import { defaultEngineSetup } from '../../server/signal/engine-setup.ts';
import { Instrument } from '../../server/signal/instrument.ts';
import type { Analyser, CycleRow } from './analyser.ts';

/** Idlewright's own measurement behind the judges' interface. It is told no intake angles: it must learn them. */
export const instrumentAnalyser: Analyser = {
  analyse(timeS, kpa, options) {
    const setup = {
      ...defaultEngineSetup(kpa.length),
      strokes: options.strokes,
      pulsesPerCycle: options.pulsesPerCycle ?? kpa.map(() => 1),
      barometricKpa: options.baroKpa,
    };
    const { channelDelaysS } = options;
    const found = analyseRecording(timeS, kpa, setup, {
      keepCycles: true,
      ...(channelDelaysS ? { channelDelaysS } : {}),
    });
    const longest = found.cylinders.reduce((a, b) => (b.cycleTable.length > a.cycleTable.length ? b : a));
    return {
      cylinders: found.cylinders.map((cylinder) => ({
        cycleTable: cylinder.cycleTable.filter((row): row is CycleRow => row.meanVacuumKpa !== null),
        vacuumKpa: told(cylinder.vacuumKpa),
        missedPulsesS: cylinder.missedPulsesS ?? [],
        state: cylinder.state,
      })),
      engineCycles: longest.cycleTable.map(({ startS, endS }) => ({ startS, endS })),
      gapsKpa: found.gapsKpa.map(
        (gap) =>
          gap &&
          (gap.expandedUncertainty === null
            ? null
            : { value: gap.value, expandedUncertainty: gap.expandedUncertainty }),
      ),
    };
  },
  live: (setup, board) => new Instrument(setup, board),
};

function told(
  mean: { readonly mean: number; readonly sd: number | null; readonly standardError: number | null } | null,
): { mean: number; sd: number; standardError: number } | null {
  if (!mean || mean.sd === null || mean.standardError === null) return null;
  return { mean: mean.mean, sd: mean.sd, standardError: mean.standardError };
}
