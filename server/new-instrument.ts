import type { NewInstrument } from './session/measuring-parts.ts';
import { Instrument } from './signal/instrument.ts';

/** The measurement with what the calibration knows of the channels. */
export const newInstrument: NewInstrument = (setup, channelDelaysS, scales) =>
  new Instrument(setup, { channelDelaysS, ...scales.instrumentOptions(setup.cylinders) });
