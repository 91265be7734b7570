import type { Settling, Update, Verdict } from '../../../server/contract/live.ts';

export function verdictWords(verdict: Verdict): string {
  return { inside: 'Equal', outside: 'Not equal yet', 'not-sure': 'Not sure yet' }[verdict];
}

export function settlingWords(settling: Settling): string {
  return { moving: 'moving', settling: 'settling', steady: 'steady' }[settling];
}

/** What is still needed to decide, or '' when nothing is. */
export function neededWords({ verdict, cyclesNeeded }: Pick<Update, 'verdict' | 'cyclesNeeded'>): string {
  if (verdict !== 'not-sure' || cyclesNeeded === null || cyclesNeeded <= 0) return '';
  return cyclesNeeded === 1 ? 'one more cycle' : `about ${roundUp(cyclesNeeded)} more cycles`;
}

/** Which cylinder pulls most and which least, or '' when that cannot be told. */
export function sidesWords(update: Update): string {
  const sides = extremeCylinders(update);
  return sides === null ? '' : `Cylinder ${sides.most} pulls most, ${sides.least} least`;
}

/** 1-based, or null while fewer than two are known or the difference is smaller than its uncertainty. */
export function extremeCylinders(update: Update): { readonly most: number; readonly least: number } | null {
  const known = update.cylinders
    .filter(({ gapKpa }) => gapKpa !== null)
    .sort((a, b) => b.gapKpa! - a.gapKpa!);
  const most = known[0];
  const least = known.at(-1);
  if (most === undefined || least === undefined || most === least) return null;
  if (update.spreadKpa === null || update.spreadKpa <= (update.spreadExpandedKpa ?? 0)) return null;
  return { most: most.cylinder, least: least.cylinder };
}

/** A forecast to one figure is plenty. */
function roundUp(cycles: number): number {
  if (cycles <= 10) return cycles;
  const step = cycles <= 50 ? 5 : 10;
  return Math.ceil(cycles / step) * step;
}
