import { readdir } from 'node:fs/promises';
import { SerialPort } from 'serialport';

/**
 * Paths of the ports that may have a board on them: USB ones only, since opening a port can reset whatever
 * hangs on it, and a machine's built-in ports are not ours to try. Never rejects.
 */
export async function listUsbPorts(): Promise<string[]> {
  try {
    const ports = await SerialPort.list();
    return ports.filter((port) => port.vendorId !== undefined).map((port) => port.path);
  } catch {
    // Without udevadm the list cannot be made; the kernel's names for USB ports still tell.
    const names = await readdir('/dev').catch(() => []);
    return names.filter((name) => /^tty(USB|ACM)\d+$/.test(name)).map((name) => `/dev/${name}`);
  }
}
