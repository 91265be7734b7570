import { WEATHER_UNCERTAINTY_KPA } from '../../../calibration/standard-atmosphere.ts';
import type { CheckResult, CheckStart } from '../../contract/checks.ts';
import type { Setup } from '../../contract/setup.ts';
import { DEFAULT_PASS_LIMIT } from '../../signal/leak/hold-test.ts';
import { BlipRun } from './blip-run.ts';
import type { CheckRecord } from './check-record.ts';
import type { CheckRun } from './check-run.ts';
import { DropRun } from './drop-run.ts';
import { HoldRun } from './hold-run.ts';
import { IdleRun } from './idle-run.ts';
import { SpotRun } from './spot-run.ts';
import { CrankingRun, KeyOffRun } from './standing-runs.ts';
import { TwoOpeningRun } from './two-opening-run.ts';

/** What a check may have to know of the bench. */
export interface RunFacts {
  readonly setup: Setup;
  /** Standard uncertainty of each cylinder's sensor [kPa]. */
  readonly uncertaintyKpa: readonly number[];
  readonly seed: number;
  /** Of the earlier blip test that was named. */
  readonly earlier: CheckResult | null;
  readonly onPress?: (spot: string | null, down: boolean) => void;
  readonly onDisable?: (cylinder: number, disabled: boolean) => void;
}

/** Standard uncertainty of the barometric pressure by where it comes from [kPa]; common practice, no source. */
const BAROMETRIC_UNCERTAINTY_KPA: Readonly<Record<Setup['barometricFrom'], number>> = {
  // Height above the sea is left out, which the set-up asks for.
  standard: WEATHER_UNCERTAINTY_KPA,
  entered: 0.2,
  board: 0.15,
  'key-off': 0.2,
};

const NO_OTHER_CYLINDER = 'there is no other cylinder to compare with';

/** @returns the run, or a sentence why it cannot be made */
export function newRun(
  start: CheckStart,
  record: CheckRecord,
  startS: number,
  facts: RunFacts,
): CheckRun | string {
  const { cylinders } = record.setup;
  const { setup } = facts;
  switch (start.kind) {
    case 'key-off': {
      const value = setup.barometricKpa;
      const standardUncertainty = BAROMETRIC_UNCERTAINTY_KPA[setup.barometricFrom];
      return new KeyOffRun({ value, standardUncertainty }, facts.uncertaintyKpa, record, startS);
    }
    case 'cranking':
      return new CrankingRun(record, startS);
    case 'idle-quality':
      return new IdleRun(start.watchS, record, startS);
    case 'two-opening':
      return cylinders < 2 ? NO_OTHER_CYLINDER : new TwoOpeningRun(record, startS);
    case 'blip': {
      const shares = facts.earlier?.blipShares ?? null;
      if (shares !== null && shares.length !== cylinders)
        return 'the earlier blip test was of another engine';
      const earlier = shares?.map((remainingShare) => (remainingShare === null ? null : { remainingShare }));
      return new BlipRun(earlier, record, startS);
    }
    case 'spot': {
      const { spots, repeats } = start;
      if (spots === undefined) return 'name the spots';
      const { seed, onPress } = facts;
      return new SpotRun(
        {
          spots,
          seed,
          everyCylinderSensed: setup.cylinders === cylinders,
          ...(repeats === undefined ? {} : { repeats }),
          ...(onPress === undefined ? {} : { onPress }),
        },
        record,
        startS,
      );
    }
    case 'drop': {
      const order = (start.order ?? Array.from({ length: cylinders }, (_, at) => at + 1)).map(
        (name) => name - 1,
      );
      if (order.length < 2) return NO_OTHER_CYLINDER;
      if (order.some((cylinder) => cylinder >= cylinders)) return `the engine has ${cylinders} cylinders`;
      const { onDisable } = facts;
      return new DropRun({ order, ...(onDisable === undefined ? {} : { onDisable }) }, record, startS);
    }
    case 'hold': {
      const channel = (start.channel ?? 1) - 1;
      if (channel >= cylinders) return `there are ${cylinders} hoses`;
      const { limitKpa, limitS, volumeMl } = start;
      return new HoldRun(
        {
          channel,
          barometricUncertaintyKpa: BAROMETRIC_UNCERTAINTY_KPA[setup.barometricFrom],
          ...(limitKpa === undefined && limitS === undefined
            ? {}
            : {
                passLimit: {
                  dropKpa: limitKpa ?? DEFAULT_PASS_LIMIT.dropKpa,
                  inS: limitS ?? DEFAULT_PASS_LIMIT.inS,
                },
              }),
          ...(volumeMl === undefined ? {} : { volumeMl }),
        },
        record,
        startS,
      );
    }
  }
}
