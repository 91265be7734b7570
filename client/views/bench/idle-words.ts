/**
 * The idle speed against its band. A cold engine cannot be told from vacuum, but it is the usual reason for an idle that
 * is off, so it is asked for first (common practice, no source).
 */
export function idleWords(idleRpm: number | null, targetRpm: number, halfBandRpm: number): string {
  if (idleRpm === null) return 'No reading';
  if (idleRpm > targetRpm + halfBandRpm) return 'Too fast: is it warm, choke off?';
  if (idleRpm < targetRpm - halfBandRpm) return 'Too slow: is it warm?';
  return 'Inside';
}
