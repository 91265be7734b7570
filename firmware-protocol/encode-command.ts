import { isWholeWithin } from './field.ts';
import { frameBody } from './line-frame.ts';
import { MAX_SAMPLE_RATE_HZ, MIN_SAMPLE_RATE_HZ } from './line-limits.ts';
import type { BoardCommand } from './lines.ts';

/**
 * The text of a command with its checksum and line ending. Commands use lower-case letters and lines
 * upper-case ones, so that an echo of a command is never taken for a line from the board.
 *
 * @throws RangeError when the sample rate is not a whole number within the limits of the protocol
 */
export function encodeCommand(command: BoardCommand): string {
  switch (command.kind) {
    case 'identify':
      return frameBody('i');
    case 'start':
      return frameBody('s');
    case 'stop':
      return frameBody('x');
    case 'rate':
      if (!isWholeWithin(command.sampleRateHz, MIN_SAMPLE_RATE_HZ, MAX_SAMPLE_RATE_HZ)) {
        throw new RangeError(`A sample rate of ${command.sampleRateHz} per second cannot be asked for`);
      }
      return frameBody(`r,${command.sampleRateHz}`);
  }
}
