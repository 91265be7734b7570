import { join } from 'node:path';
import { Value } from 'typebox/value';
import type { DeviceKeep } from './access-desk.ts';
import { DeviceList } from './device-list.ts';
import { readPrivateFile, writePrivateFile } from './private-files.ts';

const DEVICE_FILE = 'devices.json';

/** @param onUnreadable told when there is a file that cannot be used: then nobody is let in */
export function deviceFile(folder: string, onUnreadable: (path: string) => void): DeviceKeep {
  const path = join(folder, DEVICE_FILE);
  return {
    read() {
      const text = readPrivateFile(path);
      if (text === null) return [];
      const list = parsed(text);
      if (list === null) onUnreadable(path);
      return list ?? [];
    },
    write: (list) => writePrivateFile(path, `${JSON.stringify(list, null, 2)}\n`),
  };
}

function parsed(text: string): DeviceList | null {
  try {
    const stored: unknown = JSON.parse(text);
    return Value.Check(DeviceList, stored) ? stored : null;
  } catch {
    return null;
  }
}
