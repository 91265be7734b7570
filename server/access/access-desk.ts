/** Lets devices in and shows them out again: joins the pairing, the list and the file it is kept in. */
import type { Clock } from '../clock.ts';
import type { AccessState, DeviceRole, LetInDevice } from '../contract/access.ts';
import {
  type Device,
  type DeviceList,
  deviceWithHash,
  isForgotten,
  withDevice,
  withDeviceSeen,
  withoutDevice,
} from './device-list.ts';
import { NO_PAIRING, type Pairing, type PairingEvent, pairingStep } from './pairing.ts';

/** That a device was seen is written down this often at most [ms]. */
export const SEEN_EVERY_MS = 3_600_000;

/** Chance and hashes, from outside. */
export interface AccessSecrets {
  /** Six digits, each code as likely as every other. */
  newCode(): string;
  /** 256 bits that cannot be guessed, as text. */
  newToken(): string;
  newId(): string;
  hashOf(token: string): string;
}

export interface DeviceKeep {
  read(): DeviceList;
  /** @throws as node:fs does; then the old list is what is kept */
  write(list: DeviceList): void;
}

export interface AccessDeskOptions {
  readonly clock: Clock;
  readonly secrets: AccessSecrets;
  readonly keep: DeviceKeep;
  readonly onTrouble: (error: unknown) => void;
}

export type LetInAnswer =
  | { readonly ok: true; readonly token: string; readonly role: DeviceRole }
  | { readonly ok: false; readonly reason: 'not-accepted' | 'locked-out' | 'too-many-devices' };

export class AccessDesk {
  readonly #options: AccessDeskOptions;
  readonly #connections = new Map<string, Set<() => void>>();
  #devices: DeviceList;
  #pairing: Pairing = NO_PAIRING;

  constructor(options: AccessDeskOptions) {
    this.#options = options;
    this.#devices = options.keep.read();
  }

  /** Makes a code, in place of one that is shown. */
  offer(role: DeviceRole): void {
    const { clock, secrets } = this.#options;
    this.#step({ type: 'offer', role, code: secrets.newCode(), nowMs: clock.nowMs() });
  }

  withdraw(): void {
    this.#step({ type: 'withdraw' });
  }

  /** @param address of the device on the network, of which wrong tries are counted */
  letIn(code: string, name: string, address: string): LetInAnswer {
    const { clock, secrets, keep } = this.#options;
    const answer = this.#step({ type: 'guess', code, address, nowMs: clock.nowMs() });
    if (answer === null || answer.outcome === 'not-accepted') return { ok: false, reason: 'not-accepted' };
    if (answer.outcome === 'locked-out') return { ok: false, reason: 'locked-out' };
    const token = secrets.newToken();
    const nowMs = clock.wallMs();
    const device: Device = {
      id: secrets.newId(),
      name: name.trim(),
      role: answer.role,
      tokenHash: secrets.hashOf(token),
      letInAtMs: nowMs,
      lastSeenAtMs: nowMs,
    };
    const list = withDevice(this.#devices, device, nowMs);
    if (list === null) return { ok: false, reason: 'too-many-devices' };
    // Written first: a device that is let in stays so over a power cut.
    keep.write(list);
    this.#devices = list;
    return { ok: true, token, role: device.role };
  }

  /** @returns the device that the token was given to, or null */
  deviceWith(token: string): Device | null {
    const { clock, secrets } = this.#options;
    const nowMs = clock.wallMs();
    const device = deviceWithHash(this.#devices, secrets.hashOf(token), nowMs);
    if (device === null) return null;
    if (nowMs - device.lastSeenAtMs >= SEEN_EVERY_MS) {
      this.#devices = withDeviceSeen(this.#devices, device.id, nowMs);
      this.#write();
    }
    return device;
  }

  /**
   * Shows a device out: its connections are cut at once, and stay cut even where the disk does not take the change.
   * @returns false where there is none of that name
   */
  remove(id: string): boolean {
    if (!this.#devices.some((device) => device.id === id)) return false;
    this.#devices = withoutDevice(this.#devices, id);
    for (const cut of this.#connections.get(id) ?? []) cut();
    this.#connections.delete(id);
    this.#options.keep.write(this.#devices);
    return true;
  }

  /** @returns what takes the connection out of the list again */
  connected(id: string, cut: () => void): () => void {
    const cuts = this.#connections.get(id) ?? new Set();
    this.#connections.set(id, cuts.add(cut));
    return () => {
      cuts.delete(cut);
      if (cuts.size === 0 && this.#connections.get(id) === cuts) this.#connections.delete(id);
    };
  }

  /** @param lan where other devices find the program */
  state(lan: AccessState['lan']): AccessState {
    const { clock } = this.#options;
    const nowMs = clock.nowMs();
    this.#step({ type: 'look', nowMs });
    const { offer, lastOffer } = this.#pairing;
    return {
      lan,
      offer:
        offer === null
          ? null
          : {
              code: offer.code,
              role: offer.role,
              leftS: Math.ceil((offer.endsAtMs - nowMs) / 1000),
              wrongTries: offer.wrongTries,
            },
      lastOffer,
      devices: this.#devices
        .filter((device) => !isForgotten(device, clock.wallMs()))
        .map((device) => this.#shown(device)),
    };
  }

  #shown({ id, name, role, letInAtMs, lastSeenAtMs }: Device): LetInDevice {
    return { id, name, role, letInAtMs, lastSeenAtMs, connected: this.#connections.has(id) };
  }

  #step(event: PairingEvent) {
    const [next, answer] = pairingStep(this.#pairing, event);
    this.#pairing = next;
    return answer;
  }

  #write(): void {
    try {
      this.#options.keep.write(this.#devices);
    } catch (error) {
      this.#options.onTrouble(error);
    }
  }
}
