/** The devices that the person let in, as values. What opens the door is kept only as its hash. */
import Type, { type Static } from 'typebox';
import { DeviceRole, MAX_DEVICE_NAME } from '../contract/access.ts';

export const MAX_DEVICES = 32;
/** A device that was not seen for this long has to be let in again. */
export const UNSEEN_LIFE_MS = 90 * 24 * 3_600_000;

export const Device = Type.Object({
  id: Type.String({ minLength: 1, maxLength: 64 }),
  name: Type.String({ minLength: 1, maxLength: MAX_DEVICE_NAME }),
  role: DeviceRole,
  /** SHA-256 of its token, hexadecimal. */
  tokenHash: Type.String({ pattern: '^[0-9a-f]{64}$' }),
  /** Wall clock [ms since 1970]. */
  letInAtMs: Type.Number(),
  lastSeenAtMs: Type.Number(),
});
export type Device = Static<typeof Device>;

export const DeviceList = Type.Array(Device, { maxItems: MAX_DEVICES });
export type DeviceList = readonly Device[];

/** @returns the list with the device, or null where it is full */
export function withDevice(list: DeviceList, device: Device, wallMs: number): DeviceList | null {
  const known = list.filter((each) => !isForgotten(each, wallMs));
  return known.length >= MAX_DEVICES ? null : [...known, device];
}

export function withoutDevice(list: DeviceList, id: string): DeviceList {
  return list.filter((device) => device.id !== id);
}

/** @returns null for one that is not in the list or was not seen for too long */
export function deviceWithHash(list: DeviceList, tokenHash: string, wallMs: number): Device | null {
  const device = list.find((each) => each.tokenHash === tokenHash);
  return device === undefined || isForgotten(device, wallMs) ? null : device;
}

export function withDeviceSeen(list: DeviceList, id: string, wallMs: number): DeviceList {
  return list.map((device) => (device.id === id ? { ...device, lastSeenAtMs: wallMs } : device));
}

export function isForgotten({ lastSeenAtMs }: Device, wallMs: number): boolean {
  return wallMs - lastSeenAtMs > UNSEEN_LIFE_MS;
}
