import { crc16 } from '../crc16.ts';
import { isName } from '../field.ts';
import { MAX_NAME_LENGTH } from '../line-limits.ts';
import { MAX_CHANNELS } from '../lines.ts';

/**
 * EEPROM image that gives a reference board its id and sensor types, as Intel HEX for any flashing tool.
 * Layout as in `identity.c`: id, eight sensor types, each 16 bytes filled up with 0, CRC-16 of them.
 *
 * @param sensorTypes one for each channel, up to 8; null or missing: the type that the firmware was built for
 * @throws RangeError when a name is not 1-16 characters `A-Z a-z 0-9 _ -`
 */
export function identityEeprom(boardId: string, sensorTypes: readonly (string | null)[]): string {
  if (sensorTypes.length > MAX_CHANNELS) throw new RangeError(`A board has at most ${MAX_CHANNELS} channels`);
  for (const name of [boardId, ...sensorTypes]) {
    if (name !== null && !isName(name)) {
      throw new RangeError(
        `'${name}' is no name: use 1-${MAX_NAME_LENGTH} of the characters A-Z a-z 0-9 _ -`,
      );
    }
  }
  const sensors = Array.from({ length: MAX_CHANNELS }, (_, channel) => sensorTypes[channel] ?? '');
  const names = [boardId, ...sensors].map((name) => name.padEnd(MAX_NAME_LENGTH, '\0')).join('');
  const check = crc16(names);
  return intelHex(names + String.fromCharCode(check >> 8, check & 0xff));
}

const BYTES_PER_RECORD = 16;

function intelHex(data: string): string {
  const records: string[] = [];
  for (let address = 0; address < data.length; address += BYTES_PER_RECORD) {
    const bytes = [...data.slice(address, address + BYTES_PER_RECORD)].map((character) =>
      character.charCodeAt(0),
    );
    records.push(intelHexRecord([bytes.length, address >> 8, address & 0xff, 0, ...bytes]));
  }
  return `${[...records, ':00000001FF'].join('\n')}\n`;
}

function intelHexRecord(bytes: readonly number[]): string {
  const sum = bytes.reduce((total, byte) => total + byte, 0);
  return `:${[...bytes, -sum & 0xff].map((byte) => byte.toString(16).toUpperCase().padStart(2, '0')).join('')}`;
}

if (process.argv[1]?.endsWith('identity-image.ts')) {
  const [boardId, ...sensorTypes] = process.argv.slice(2);
  if (boardId === undefined) {
    console.error('Say the board id, then the sensor type of each channel (- for the usual one).');
    process.exitCode = 2;
  } else {
    process.stdout.write(
      identityEeprom(
        boardId,
        sensorTypes.map((type) => (type === '-' ? null : type)),
      ),
    );
  }
}
