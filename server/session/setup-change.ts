import { firingAngles } from '../contract/firing-angles.ts';
import type { SetupPatch } from '../contract/http.ts';
import type { FiringSetup, Setup } from '../contract/setup.ts';
import { defaultEngineSetup, type EngineSetup, STANDARD_ATMOSPHERE_KPA } from '../signal/engine-setup.ts';
import type { Outcome } from './measuring-parts.ts';
import { linkageRefusal, USUAL_LINKAGE } from './setup-linkage.ts';

const FIRING_NOT_KNOWN: FiringSetup = { kind: 'not-known' };

export const DEFAULT_SETUP: Setup = {
  cylinders: 4,
  strokes: 4,
  reference: 'mean',
  toleranceKpa: 1,
  barometricKpa: STANDARD_ATMOSPHERE_KPA,
  barometricFrom: 'standard',
  idleTargetRpm: null,
  idleBandRpm: null,
  linkage: USUAL_LINKAGE,
  firing: FIRING_NOT_KNOWN,
  raisedTargetRpm: null,
  raisedToleranceKpa: null,
};

/** What the session knows that a change may need. */
export interface SetupFacts {
  /** The board's own barometer [kPa], or null where it has none. */
  readonly boardBarometricKpa: number | null;
  /** Mean pressure in the ports with the engine stopped [kPa], or null while it runs. */
  readonly keyOffKpa: number | null;
  readonly captureRunning: boolean;
}

/** Below this many times the idle speed the throttles may still rest on their stops. */
const RAISED_LEAST = 2;

/** The setup with a patch applied, or the reason why it cannot be. */
export function changeSetup(setup: Setup, patch: SetupPatch, facts: SetupFacts): Outcome<Setup> {
  const barometric = barometricAfter(setup, patch, facts);
  if (!barometric.ok) return barometric;
  const changed: Setup = { ...setup, ...definedOf(patch), ...barometric.value };
  if (changed.reference !== 'mean' && changed.reference > changed.cylinders) {
    if (patch.reference !== undefined) {
      return {
        ok: false,
        code: 'bad-request',
        detail: `reference: cylinder ${patch.reference} of ${changed.cylinders} cannot be the reference`,
      };
    }
    changed.reference = 'mean';
  }
  const refusal = linkageRefusal(changed.linkage ?? USUAL_LINKAGE, changed.cylinders);
  if (refusal !== null) {
    if (patch.linkage !== undefined) return { ok: false, code: 'bad-request', detail: refusal };
    changed.linkage = USUAL_LINKAGE;
  }
  const firing = firingAngles(changed.firing ?? FIRING_NOT_KNOWN, changed.cylinders, changed.strokes);
  if (!firing.ok) {
    if (patch.firing !== undefined) return { ok: false, code: 'bad-request', detail: firing.reason };
    changed.firing = FIRING_NOT_KNOWN;
  }
  const { raisedTargetRpm, idleTargetRpm } = changed;
  if (raisedTargetRpm != null && idleTargetRpm !== null && raisedTargetRpm < RAISED_LEAST * idleTargetRpm) {
    return {
      ok: false,
      code: 'bad-request',
      detail: `Take a raised speed of at least twice the idle speed of ${idleTargetRpm} r/min, or leave it empty.`,
    };
  }
  if (facts.captureRunning && measuresDifferently(setup, changed)) return { ok: false, code: 'setup-locked' };
  return { ok: true, value: changed };
}

/** Whether readings before and after the change cannot be compared at all. */
export function measuresDifferently(a: Setup, b: Setup): boolean {
  return a.cylinders !== b.cylinders || a.strokes !== b.strokes || a.barometricKpa !== b.barometricKpa;
}

/** @param channels of the board; a cylinder without a channel is not measured */
export function engineSetup(setup: Setup, channels: number): EngineSetup {
  const cylinders = Math.max(1, Math.min(setup.cylinders, channels));
  const reference = setup.reference === 'mean' || setup.reference > cylinders ? 'mean' : setup.reference - 1;
  const firing = firingAngles(setup.firing ?? FIRING_NOT_KNOWN, setup.cylinders, setup.strokes);
  return {
    ...defaultEngineSetup(cylinders),
    strokes: setup.strokes,
    intakeAnglesDeg: firing.ok ? (firing.anglesDeg?.slice(0, cylinders) ?? null) : null,
    reference,
    toleranceKpa: setup.toleranceKpa,
    barometricKpa: setup.barometricKpa,
  };
}

function barometricAfter(
  setup: Setup,
  patch: SetupPatch,
  facts: SetupFacts,
): Outcome<Pick<Setup, 'barometricKpa' | 'barometricFrom'>> {
  const from = patch.barometricFrom ?? (patch.barometricKpa === undefined ? setup.barometricFrom : 'entered');
  if (patch.barometricKpa !== undefined) {
    return {
      ok: true,
      value: { barometricKpa: patch.barometricKpa, barometricFrom: from },
    };
  }
  if (patch.barometricFrom === undefined) {
    return {
      ok: true,
      value: { barometricKpa: setup.barometricKpa, barometricFrom: from },
    };
  }
  switch (from) {
    case 'standard':
      return {
        ok: true,
        value: { barometricKpa: STANDARD_ATMOSPHERE_KPA, barometricFrom: from },
      };
    case 'entered':
      return {
        ok: true,
        value: { barometricKpa: setup.barometricKpa, barometricFrom: from },
      };
    case 'board':
      if (facts.boardBarometricKpa === null) return { ok: false, code: 'board-has-no-barometer' };
      return {
        ok: true,
        value: {
          barometricKpa: facts.boardBarometricKpa,
          barometricFrom: from,
        },
      };
    case 'key-off':
      if (facts.keyOffKpa === null) return { ok: false, code: 'key-off-needs-stopped-engine' };
      return {
        ok: true,
        value: { barometricKpa: facts.keyOffKpa, barometricFrom: from },
      };
  }
}

function definedOf(patch: SetupPatch): Partial<Setup> {
  return Object.fromEntries(Object.entries(patch).filter(([, value]) => value !== undefined));
}
