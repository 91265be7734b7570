import type { RecomputedCapture } from '../../../server/contract/captures.ts';

/** Figures that agree to this are the same [kPa]: a tenth of what any board can tell. */
const SAME_KPA = 0.001;

/** What this version makes of samples whose figures an older one worked out. */
export function recomputedWords({ stored, softwareVersion, spreadKpa }: RecomputedCapture): string {
  const by = `Version ${softwareVersion} from the same samples`;
  if (spreadKpa === null) return `${by}: too short for a gap.`;
  if (stored.spreadKpa === null) return `${by}: a gap of ${spreadKpa.toFixed(2)} kPa.`;
  if (Math.abs(spreadKpa - stored.spreadKpa) < SAME_KPA) return `${by}: the same gap.`;
  return `${by}: a gap of ${spreadKpa.toFixed(2)} kPa; version ${stored.softwareVersion} had ${stored.spreadKpa.toFixed(2)} kPa.`;
}
