/** Limits of protocol version 1, the same for the codec, the reference firmware and PROTOCOL.md. */

/** Longest line or command [bytes], line ending included. Longer input is refused unread. */
export const MAX_LINE_BYTES = 240;

/** Longest command to the board [bytes], line ending included; a small board need not buffer more. */
export const MAX_COMMAND_BYTES = 32;

/** Longest board id, firmware version or sensor type [characters]. */
export const MAX_NAME_LENGTH = 16;

/** Highest raw count and full scale: 24 bits, the widest common pressure converter. */
export const MAX_COUNT = 16_777_215;

export const MIN_SAMPLE_RATE_HZ = 1;
export const MAX_SAMPLE_RATE_HZ = 4_000;

/** Slower clocks time a pulse too coarsely; faster ones wrap within 43 s. */
export const MIN_CLOCK_RATE_HZ = 1_000;
export const MAX_CLOCK_RATE_HZ = 100_000_000;

/** Ticks between two channels of one sample line: one second at the slowest rate of a 16 MHz clock. */
export const MAX_CONVERSION_TICKS = 16_777_215;

/** Air pressure that a barometer on a bench can see [Pa]: a hurricane's eye at 6 km to a deep mine. */
export const MIN_AMBIENT_PA = 30_000;
export const MAX_AMBIENT_PA = 130_000;

/** Range of the usual silicon thermometers [°C]. */
export const MIN_AMBIENT_CELSIUS = -40;
export const MAX_AMBIENT_CELSIUS = 125;

/** On the wire temperature is a whole number of these parts of a degree. */
export const TEMPERATURE_STEPS_PER_CELSIUS = 100;

/** A counter of notices stops here rather than starting again. */
export const MAX_NOTICE_COUNT = 65_535;
