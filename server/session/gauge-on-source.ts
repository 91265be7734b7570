import type { BarometricPressure } from '../../calibration/standard-atmosphere.ts';
import type { Gauge } from '../contract/calibration.ts';
import type { GaugeOnSource } from './calibration-desk.ts';
import type { Outcome } from './measuring-parts.ts';

/**
 * A reference gauge as the calibration wants it, its scale in absolute pressure.
 *
 * @param zero air pressure of a zero that was set just before, which a vacuum gauge counts from; null for none
 * @returns a refusal for a vacuum gauge without a zero, or a scale without a length
 */
export function gaugeOnSource(gauge: Gauge, zero: BarometricPressure | null): Outcome<GaugeOnSource> {
  const { shows, fromKpa, toKpa, statedKpa, stated } = gauge;
  if (shows === 'vacuum' && zero === null) return { ok: false, code: 'calibration-zero-first' };
  const ends = [fromKpa, toKpa].map((kpa) => (shows === 'vacuum' ? zero!.kpa - kpa : kpa));
  const [lowestKpa, highestKpa] = [Math.min(...ends), Math.max(...ends)];
  if (!(highestKpa > lowestKpa))
    return { ok: false, code: 'bad-request', detail: 'gauge: its scale has no length' };
  return { ok: true, value: { gauge: { lowestKpa, highestKpa, statedKpa, stated }, zero } };
}
