/**
 * Where a request came in. There are two doors with a server each: one that listens on the loopback address alone, and
 * with `--lan` one that is open to the network. Who comes through the first sits at this computer; who comes through the
 * second is asked for what he was let in with, whatever address he claims.
 */
import type { AccessDesk } from '../../access/access-desk.ts';
import type { AccessState } from '../../contract/access.ts';

export type Door =
  | {
      readonly kind: 'instrument';
      /** null when there is no door to the network. */
      readonly desk: AccessDesk | null;
      /** Where the other door is, for the instrument's screen. */
      readonly lan: () => AccessState['lan'];
    }
  | {
      readonly kind: 'network';
      readonly desk: AccessDesk;
      /** PEM; null for plain HTTP. */
      readonly tls: { readonly key: string; readonly certificate: string } | null;
      /** Whether a connection from this address is taken at all. */
      readonly takes: (address: string) => boolean;
    };

/** The only door of a program that was started without `--lan`. */
export const LOOPBACK_DOOR: Door = { kind: 'instrument', desk: null, lan: () => null };
