import { type Validity, validityAt } from '../../calibration/calibration-age.ts';
import type { NotApplicable } from '../../calibration/channel-calibration.ts';
import type { BarometricPressure } from '../../calibration/standard-atmosphere.ts';
import type { IdentityLine } from '../../firmware-protocol/lines.ts';
import { type ErrorCode, sentenceFor } from '../error-catalogue.ts';
import type { CalibrationStore, StoredCalibration } from '../jobs/calibration-store.ts';
import { fits, type KnownSensor } from './board-knowledge.ts';
import { EXACT_BOARD_ID } from './channel-scales.ts';

/** The board in use, its sensors, and the calibration of it that counts. */
export interface KnownCalibration {
  readonly identity: IdentityLine;
  readonly sensors: readonly KnownSensor[];
  readonly stored: StoredCalibration | null;
}

/** Why a calibration is not used for a board, as an entry of the catalogue. */
export const UNFIT_CODE = {
  'other-board': 'calibration-other-board',
  'other-channel': 'calibration-other-channels',
  'other-sensor-type': 'calibration-other-sensors',
} as const satisfies Record<NotApplicable, ErrorCode>;

/** A zero made longer ago says nothing of the air pressure now [ms]. */
export const ZERO_STANDS_MS = 2 * 3_600_000;

/** What the person should know, in one sentence; empty when all is well. */
export function calibrationSentence(
  { identity, sensors, stored }: KnownCalibration,
  store: Pick<CalibrationStore, 'ofBoard'>,
  nowMs: number,
): string {
  if (identity.boardId === EXACT_BOARD_ID || sensors.some(({ type }) => type === null)) return '';
  if (stored !== null) {
    const code = CODE_OF[validityOf(stored, nowMs).state];
    return code === null ? '' : sentenceFor(code);
  }
  const newest = store.ofBoard(identity.boardId)[0];
  const fit = newest === undefined ? null : fits(newest, identity.boardId, sensors);
  return sentenceFor(fit === null || fit.ok ? 'calibration-none' : UNFIT_CODE[fit.reason]);
}

/** The earliest end of its channels counts. */
export function validityOf({ board }: StoredCalibration, nowMs: number): Validity {
  const states = board.channels
    .map((channel) => validityAt(channel, nowMs))
    .filter(({ state }) => state !== 'never-calibrated');
  const worst = (state: Validity['state']) => states.filter((one) => one.state === state);
  return (
    worst('expired').sort((a, b) => daysOf(b) - daysOf(a))[0] ??
    worst('due-soon').sort((a, b) => daysOf(a) - daysOf(b))[0] ??
    states[0] ?? { state: 'never-calibrated' }
  );
}

/** Days left, or over where it has expired; null where there is no end. */
export function daysOrNull(validity: Validity): number | null {
  if (validity.state === 'never-calibrated') return null;
  return validity.state === 'expired' ? validity.daysOver : validity.daysLeft;
}

/** Air pressure of a zero of this board that was made a short while ago, or null. */
export function lastZero({ stored }: KnownCalibration, nowMs: number): BarometricPressure | null {
  if (stored === null || stored.kind !== 'zero') return null;
  const age = nowMs - stored.madeAtMs;
  if (age < 0 || age > ZERO_STANDS_MS) return null;
  const { air } = (stored.evidence ?? {}) as { readonly air?: unknown };
  return isPressure(air) ? air : null;
}

const CODE_OF: Readonly<Record<Validity['state'], ErrorCode | null>> = {
  'never-calibrated': 'calibration-none',
  valid: null,
  'due-soon': 'calibration-due-soon',
  expired: 'calibration-expired',
};

function daysOf(validity: Validity): number {
  return daysOrNull(validity) ?? Number.POSITIVE_INFINITY;
}

function isPressure(value: unknown): value is BarometricPressure {
  const { kpa, standardUncertaintyKpa } = (value ?? {}) as Partial<BarometricPressure>;
  return Number.isFinite(kpa) && Number.isFinite(standardUncertaintyKpa);
}
