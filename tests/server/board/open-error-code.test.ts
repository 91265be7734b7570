import { describe, expect, test } from 'vitest';
import { openErrorCode } from '../../../server/board/serial-source.ts';

// As worded by @serialport/bindings-cpp 13 on Linux, macOS and Windows.
describe('why a port does not open', () => {
  test.each([
    ['Error: No such file or directory, cannot open /dev/ttyUSB0', 'source-not-found'],
    ['Error: No such device or address, cannot open /dev/ttyUSB0', 'source-not-found'],
    ['Error: Input/output error, cannot open /dev/pts/3', 'source-not-found'],
    ['Opening COM7: File not found', 'source-not-found'],
    ['Error: Permission denied, cannot open /dev/ttyUSB0', 'source-no-permission'],
    ['Error Resource temporarily unavailable Cannot lock port', 'source-in-use'],
    ['Error: Resource busy, cannot open /dev/tty.usbserial', 'source-in-use'],
    ['Opening COM3: Access denied', 'source-in-use'],
    ['Error: Inappropriate ioctl for device, cannot open /etc/passwd', 'source-failed'],
  ])('%s', (message, code) => {
    expect(openErrorCode(message)).toBe(code);
  });
});
