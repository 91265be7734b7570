import type { EngineRecording } from '../engines/engine-recording.ts';
import type { Analyser } from './analyser.ts';
import { playLive } from './play-live.ts';

export interface FalseFlags {
  /** Times that the instrument left 'steady' though nothing was touched, however many cylinders did so together. */
  readonly flags: number;
  /** Share of the looks at which every cylinder was steady. */
  readonly steadyShare: number;
  readonly watchedS: number;
}

const LOOK_EVERY_S = 0.1;

/** @param fromS start of the watch [s]: before it the meter may settle */
export function falseFlags(analyser: Analyser, recording: EngineRecording, fromS: number): FalseFlags {
  let wasSteady = false;
  let flags = 0;
  let looks = 0;
  let steadyLooks = 0;
  let lastS = fromS;
  playLive(analyser, recording, LOOK_EVERY_S, (timeS, reading) => {
    const steady = reading.cylinders.map((cylinder) => cylinder.settling === 'steady');
    if (timeS >= fromS) {
      lastS = timeS;
      looks++;
      if (steady.every(Boolean)) steadyLooks++;
      if (wasSteady && !steady.every(Boolean)) flags++;
    }
    wasSteady = steady.every(Boolean);
    return undefined;
  });
  return { flags, steadyShare: steadyLooks / looks, watchedS: lastS - fromS };
}
