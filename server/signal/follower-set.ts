/** All cylinders as they are followed, and which pulse comes next. */
import type { PulseFollower } from './pulse-follower.ts';
import { STEER_BELOW } from './pulse-follower.ts';

export class FollowerSet {
  readonly all: readonly PulseFollower[];

  /** At least one cylinder steers: the clearest, if none is clear. */
  constructor(followers: readonly PulseFollower[]) {
    this.all = followers;
    if (!followers.some((follower) => follower.steers)) {
      followers.reduce((a, b) => (b.explained > a.explained ? b : a)).steers = true;
    }
  }

  get steering(): number {
    return this.all.reduce((count, follower) => count + (follower.steers ? 1 : 0), 0);
  }

  /** The follower whose pulse comes next among those that steer, or among those that do not; null when there is none. */
  next(steering: boolean, except: PulseFollower | null = null): PulseFollower | null {
    let best: PulseFollower | null = null;
    for (const follower of this.all) {
      if (follower.steers !== steering || follower === except) continue;
      if (best === null || follower.nextPhase < best.nextPhase) best = follower;
    }
    return best;
  }

  /** Equal cycle numbers are to be nearest in time: phases within half a cycle of the first steering one's, and not negative. */
  align(): void {
    const first = this.all.find((follower) => follower.steers)!;
    for (const follower of this.all) {
      const turns = Math.ceil(follower.phase - first.phase - 0.5);
      follower.phase -= turns;
    }
    const earliest = Math.min(...this.all.map((follower) => follower.phase));
    if (earliest < 0) for (const follower of this.all) follower.phase += 1;
  }

  /** A cylinder that has lost its pulse steers no more, unless it is the last. */
  demote(follower: PulseFollower): void {
    if (follower.explained < STEER_BELOW && this.steering > 1) follower.steers = false;
  }

  /** Phase of each cylinder's intake after cylinder 1's [cycles, 0-1]; null without a pulse of its own. */
  phases(): (number | null)[] {
    const first = this.all[0]!;
    return this.all.map((follower) => {
      if (!first.steers || !follower.steers) return null;
      const difference = follower.phase - first.phase;
      return difference - Math.floor(difference);
    });
  }
}
