import type { SeededRandom } from '../../engines/seeded-random.ts';

/** First-order autoregressive series about 0 with standard deviation 1 and lag-1 autocorrelation `rho`, begun in its stationary state. */
export function autoregressiveSeries(random: SeededRandom, length: number, rho: number): number[] {
  const innovation = Math.sqrt(1 - rho * rho);
  let value = random.normal();
  return Array.from({ length }, () => {
    const now = value;
    value = rho * value + innovation * random.normal();
    return now;
  });
}
