import { identityEeprom } from '../../../firmware-protocol/board/identity-image.ts';
import { parseIntelHexBytes } from './firmware-image.ts';

/** EEPROM of a board that has been started before; the very first start takes half a second to write it. */
export const BENCH_EEPROM = parseIntelHexBytes(identityEeprom('bench-7', []), 1_024);

/** By then a board with this EEPROM has said who it is and samples. */
export const START_S = 0.06;
