/**
 * Letting a device in by a short code, as a pure function of what happens: a code lives for two minutes, is good
 * once, dies after ten wrong tries, and an address that was wrong five times is locked out for a quarter of an hour.
 * Guessing blindly succeeds once in 100,000 codes at best.
 */
import { CODE_DIGITS, type DeviceRole } from '../contract/access.ts';

export const CODE_LIFE_MS = 120_000;
/** Wrong tries from all addresses together after which a code is withdrawn. */
export const TRIES_PER_CODE = 10;
export const TRIES_PER_ADDRESS = 5;
export const LOCK_OUT_MS = 15 * 60_000;
/** The oldest is forgotten for a new one, so that made-up addresses fill no memory. */
export const MAX_WATCHED_ADDRESSES = 256;

export interface Offer {
  readonly code: string;
  readonly role: DeviceRole;
  /** Steady clock [ms]. */
  readonly endsAtMs: number;
  readonly wrongTries: number;
}

export type OfferEnd = 'used' | 'run-out' | 'guessed-at' | 'withdrawn';

export interface Pairing {
  readonly offer: Offer | null;
  readonly lastOffer: OfferEnd | null;
  /** Wrong tries by address, longest unheard first. */
  readonly wrong: ReadonlyMap<string, { readonly tries: number; readonly lastMs: number }>;
}

export type PairingEvent =
  | { readonly type: 'offer'; readonly code: string; readonly role: DeviceRole; readonly nowMs: number }
  | { readonly type: 'withdraw' }
  | { readonly type: 'look'; readonly nowMs: number }
  | { readonly type: 'guess'; readonly code: string; readonly address: string; readonly nowMs: number };

/** The answer to a guess; null to every other event. Wrong, run out and never offered are told apart to nobody. */
export type GuessAnswer =
  | { readonly outcome: 'let-in'; readonly role: DeviceRole }
  | { readonly outcome: 'not-accepted' }
  | { readonly outcome: 'locked-out'; readonly leftMs: number };

export const NO_PAIRING: Pairing = { offer: null, lastOffer: null, wrong: new Map() };

/** @throws RangeError for an offered code that is not of the form that people are shown */
export function pairingStep(before: Pairing, event: PairingEvent): readonly [Pairing, GuessAnswer | null] {
  switch (event.type) {
    case 'offer': {
      const { code, role, nowMs } = event;
      if (code.length !== CODE_DIGITS || !/^[0-9]+$/.test(code)) throw new RangeError('a code is six digits');
      const offer = { code, role, endsAtMs: nowMs + CODE_LIFE_MS, wrongTries: 0 };
      return [{ ...before, offer, lastOffer: null }, null];
    }
    case 'withdraw':
      return [before.offer === null ? before : { ...before, offer: null, lastOffer: 'withdrawn' }, null];
    case 'look':
      return [withoutRunOut(before, event.nowMs), null];
    case 'guess':
      return guess(withoutRunOut(before, event.nowMs), event.code, event.address, event.nowMs);
  }
}

function withoutRunOut(pairing: Pairing, nowMs: number): Pairing {
  if (pairing.offer === null || nowMs < pairing.offer.endsAtMs) return pairing;
  return { ...pairing, offer: null, lastOffer: 'run-out' };
}

function guess(
  pairing: Pairing,
  code: string,
  address: string,
  nowMs: number,
): readonly [Pairing, GuessAnswer] {
  const leftMs = lockedForMs(pairing, address, nowMs);
  if (leftMs > 0) return [pairing, { outcome: 'locked-out', leftMs }];
  const { offer } = pairing;
  if (offer !== null && sameInConstantTime(offer.code, code)) {
    const wrong = new Map(pairing.wrong);
    wrong.delete(address);
    return [
      { offer: null, lastOffer: 'used', wrong },
      { outcome: 'let-in', role: offer.role },
    ];
  }
  const counted = { ...pairing, wrong: withWrongTry(pairing, address, nowMs) };
  return [offer === null ? counted : withOfferGuessedAt(counted, offer), { outcome: 'not-accepted' }];
}

function withOfferGuessedAt(pairing: Pairing, offer: Offer): Pairing {
  const wrongTries = offer.wrongTries + 1;
  return wrongTries < TRIES_PER_CODE
    ? { ...pairing, offer: { ...offer, wrongTries } }
    : { ...pairing, offer: null, lastOffer: 'guessed-at' };
}

/** @returns how long the address has to wait still [ms], 0 for one that may try */
export function lockedForMs({ wrong }: Pairing, address: string, nowMs: number): number {
  const watched = wrong.get(address);
  if (watched === undefined || watched.tries < TRIES_PER_ADDRESS) return 0;
  return Math.max(0, watched.lastMs + LOCK_OUT_MS - nowMs);
}

function withWrongTry({ wrong }: Pairing, address: string, nowMs: number): Pairing['wrong'] {
  const next = new Map(wrong);
  const watched = next.get(address);
  const fresh = watched === undefined || nowMs >= watched.lastMs + LOCK_OUT_MS;
  // Taken out first: a map keeps its entries in the order in which they came.
  next.delete(address);
  next.set(address, { tries: fresh ? 1 : watched.tries + 1, lastMs: nowMs });
  for (const oldest of next.keys()) {
    if (next.size <= MAX_WATCHED_ADDRESSES) break;
    next.delete(oldest);
  }
  return next;
}

/** Takes as long for a code that is wrong in the first digit as for one that is wrong in the last. */
function sameInConstantTime(one: string, other: string): boolean {
  let difference = one.length ^ other.length;
  for (let index = 0; index < one.length; index++) {
    difference |= one.charCodeAt(index) ^ (index < other.length ? other.charCodeAt(index) : 0);
  }
  return difference === 0;
}
