import { Instrument } from '../signal/instrument.ts';
import type { NewInstrument } from './measuring-parts.ts';

/** The measurement with what is known of the channels. */
export const newInstrument: NewInstrument = (setup, channelDelaysS, scales) =>
  new Instrument(setup, { channelDelaysS, ...scales.instrumentOptions(setup.cylinders) });
