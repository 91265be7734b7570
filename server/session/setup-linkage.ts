import type { LinkageSetup, Setup } from '../contract/setup.ts';
import {
  type Linkage,
  type LinkageOutcome,
  noLinkage,
  ownLinkage,
  usualLinkage,
} from '../signal/advice/linkage.ts';
import { chosenLinkage } from '../signal/advice/linkage-choice.ts';

export const USUAL_LINKAGE: LinkageSetup = { kind: 'usual' };

/**
 * The linkage that the set-up stands for.
 *
 * @param cylinders that are measured
 * @returns the usual one where nothing was chosen, none where what was chosen does not fit
 */
export function linkageOf(setup: Setup, cylinders: number): Linkage {
  const built = build(setup.linkage ?? USUAL_LINKAGE, cylinders);
  return built.ok ? built.linkage : noLinkage(cylinders);
}

/** Why a linkage cannot be that of so many cylinders, as a sentence for the person, or null when it can. */
export function linkageRefusal(linkage: LinkageSetup, cylinders: number): string | null {
  const built = build(linkage, cylinders);
  return built.ok ? null : built.reason;
}

function build(linkage: LinkageSetup, cylinders: number): LinkageOutcome {
  switch (linkage.kind) {
    case 'usual':
      return { ok: true, linkage: usualLinkage(cylinders) };
    case 'own-matrix':
      return ownLinkage(
        cylinders,
        linkage.screws.map(({ name, opens, point }) => ({
          name,
          // An open throttle pulls less: more air comes in.
          shape: opens.map((value) => (value === 0 ? 0 : -value)),
          ...(point === undefined ? {} : { point }),
        })),
      );
    default: {
      const base = linkage.kind === 'base-and-screws' ? linkage.base - 1 : 0;
      const chosen = chosenLinkage(linkage.kind, cylinders, base);
      return chosen === null
        ? { ok: false, reason: unfitting(linkage, cylinders) }
        : { ok: true, linkage: chosen };
    }
  }
}

function unfitting(linkage: LinkageSetup, cylinders: number): string {
  const all = `${cylinders} cylinder${cylinders === 1 ? '' : 's'}`;
  if (cylinders < 2) return `A set of ${all} has nothing to balance: choose "Not known".`;
  if (linkage.kind === 'base-and-screws')
    return `There is no cylinder ${linkage.base} among ${all}: choose the base cylinder from 1 to ${cylinders}.`;
  if (linkage.kind === 'one-screw')
    return `One screw balances two cylinders, not ${cylinders}: choose another linkage.`;
  return `A rack of four has four cylinders, not ${cylinders}: choose another linkage.`;
}
