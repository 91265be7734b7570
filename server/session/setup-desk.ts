import type { SetupPatch } from '../contract/http.ts';
import type { Setup } from '../contract/setup.ts';
import type { Outcome } from './measuring-parts.ts';
import { changeSetup, DEFAULT_SETUP, type SetupFacts } from './setup-change.ts';

/** A smaller change of the board's barometer is weather, not worth a new set-up [kPa]. */
export const BAROMETRIC_STEP_KPA = 0.1;

export interface SetupDeskOptions {
  /** As the person left it, or null where nothing was ever chosen. */
  readonly setup: Setup | null;
  readonly saveSetup: (setup: Setup) => void;
  readonly onChange: (before: Setup, after: Setup) => void;
}

/** The set-up in force: what the person chose, and what follows the board where nothing was chosen. */
export class SetupDesk {
  readonly #options: SetupDeskOptions;
  #setup: Setup;
  /** What the person said, or null: then it is as many as the board has channels. */
  #chosenCylinders: number | null;
  #boardBarometricKpa: number | null = null;

  constructor(options: SetupDeskOptions) {
    this.#options = options;
    this.#setup = options.setup ?? DEFAULT_SETUP;
    this.#chosenCylinders = options.setup?.cylinders ?? null;
  }

  get setup(): Setup {
    return this.#setup;
  }

  /** A change by the person; it is there again after a restart. */
  change(patch: SetupPatch, facts: Omit<SetupFacts, 'boardBarometricKpa'>): Outcome<Setup> {
    const changed = changeSetup(this.#setup, patch, {
      ...facts,
      boardBarometricKpa: this.#boardBarometricKpa,
    });
    if (!changed.ok) return changed;
    if (patch.cylinders !== undefined) this.#chosenCylinders = patch.cylinders;
    this.#take(changed.value);
    this.#options.saveSetup(changed.value);
    return changed;
  }

  /** The practice engine has a channel for every cylinder, and so has a board of which nothing else was said. */
  followBoard(channels: number, practice: boolean): void {
    this.#boardBarometricKpa = null;
    const cylinders = practice ? channels : (this.#chosenCylinders ?? channels);
    if (cylinders !== this.#setup.cylinders) this.#follow({ cylinders });
  }

  /** The board's barometer is used until another pressure is chosen, and not changed under a capture. */
  followBarometer(barometricKpa: number, captureRunning: boolean): void {
    this.#boardBarometricKpa = barometricKpa;
    const { barometricFrom } = this.#setup;
    if (captureRunning || (barometricFrom !== 'standard' && barometricFrom !== 'board')) return;
    const step = Math.abs(barometricKpa - this.#setup.barometricKpa);
    if (barometricFrom === 'board' && step < BAROMETRIC_STEP_KPA) return;
    this.#follow({ barometricFrom: 'board' });
  }

  #follow(patch: SetupPatch): void {
    const facts = { boardBarometricKpa: this.#boardBarometricKpa, keyOffKpa: null, captureRunning: false };
    const changed = changeSetup(this.#setup, patch, facts);
    if (changed.ok) this.#take(changed.value);
  }

  #take(setup: Setup): void {
    const before = this.#setup;
    this.#setup = setup;
    this.#options.onChange(before, setup);
  }
}
