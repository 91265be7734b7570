/**
 * Finds a hunting idle: a slow, regular rise and fall of the speed between 0.1 and 2 times a second.
 *
 * A sine and a cosine are fitted by least squares at trial frequencies to the speed of each cycle, which needs no
 * even spacing (Lomb, Astrophysics and Space Science 39, 447 (1976)). The best one counts only if chance would
 * explain as much in fewer than one record in a thousand: Scargle, Astrophysical Journal 263, 835 (1982).
 */

const SLOWEST_HZ = 0.1;
const FASTEST_HZ = 2;
/** Periods that must fit into the record. */
const LEAST_PERIODS = 2;
/** Trial frequencies per resolution step of the record. */
const OVERSAMPLING = 4;
/** Quicker than this part of the cycles' own rate nothing is told: half of it is the Nyquist limit. */
const MOST_OF_CYCLE_RATE = 0.4;
/** The best trial is refined in halvings down to this part of a trial step. */
const FINEST = 1 / 64;
const FALSE_ALARM = 0.001;
/** Swings smaller than this part of the speed are not hunting, however regular. */
const LEAST_RELATIVE_AMPLITUDE = 0.004;
const FEWEST_CYCLES = 16;
/** Autocorrelations beyond this are not told from a drift. */
const MOST_WANDER = 0.98;
/** In a long record hunting is looked for in stretches of this length [s]. */
const STRETCH_S = 60;

export interface Hunting {
  /** Half of the peak-to-peak swing [r/min]. */
  readonly amplitudeRpm: number;
  readonly periodS: number;
}

/**
 * @param timesS middle of each cycle [s], rising
 * @param speedsRpm speed over that cycle
 * @returns null when the record is too short or the speed does not hunt
 */
export function findHunting(timesS: readonly number[], speedsRpm: readonly number[]): Hunting | null {
  const n = timesS.length;
  if (n < FEWEST_CYCLES) return null;
  const spanS = timesS[n - 1]! - timesS[0]!;
  const lowest = Math.max(SLOWEST_HZ, LEAST_PERIODS / spanS);
  const highest = Math.min(FASTEST_HZ, (MOST_OF_CYCLE_RATE * (n - 1)) / spanS);
  if (!(highest > lowest)) return null;
  const mean = speedsRpm.reduce((sum, speed) => sum + speed, 0) / n;
  let total = 0;
  for (const speed of speedsRpm) total += (speed - mean) ** 2;
  if (!(total > 0)) return null;
  const stepHz = 1 / (OVERSAMPLING * spanS);
  let best: SineFit = { power: 0, amplitude: 0, sine: 0, cosine: 0, hz: 0 };
  let trials = 0;
  for (let hz = lowest; hz <= highest; hz += stepHz) {
    const fit = fitSine(timesS, speedsRpm, mean, hz);
    if (fit.power > best.power) best = fit;
    trials++;
  }
  best = refine(timesS, speedsRpm, mean, best, stepHz);
  const rest = total - best.power;
  const white = rest > 0 ? ((n - 3) / 2) * (best.power / rest) : Number.POSITIVE_INFINITY;
  const z = white / wanderAt(timesS, speedsRpm, mean, best);
  // Neighbouring cycles are not independent, so only the part of the chance that one trial in OVERSAMPLING makes counts.
  const chance = (trials / OVERSAMPLING) * Math.exp(-Math.min(700, z / 2));
  if (chance > FALSE_ALARM || best.amplitude < LEAST_RELATIVE_AMPLITUDE * mean) return null;
  return { amplitudeRpm: best.amplitude, periodS: 1 / best.hz };
}

/**
 * The strongest hunting of any stretch of a long record: over a whole hour, hunting changes its pace and cancels itself.
 *
 * @param timesS middle of each cycle [s], rising
 * @param lengthsS of each cycle [s]
 * @param revolutions crank revolutions per cycle
 */
export function strongestHunting(
  timesS: readonly number[],
  lengthsS: readonly number[],
  revolutions: number,
): Hunting | null {
  let strongest: Hunting | null = null;
  for (let from = 0; from < timesS.length; ) {
    let to = from;
    while (to < timesS.length && timesS[to]! - timesS[from]! < STRETCH_S) to++;
    const speeds = lengthsS.slice(from, to).map((lengthS) => (60 * revolutions) / lengthS);
    const found = findHunting(timesS.slice(from, to), speeds);
    if (found !== null && found.amplitudeRpm > (strongest?.amplitudeRpm ?? 0)) strongest = found;
    from = to;
  }
  return strongest;
}

/**
 * Power of the speed's own slow wander at the frequency of the fit, against that of white noise of the same variance: the
 * spectrum of a first-order autoregressive series with the autocorrelation that is left when the sine is taken out.
 *
 * @returns 1 or more
 */
function wanderAt(timesS: readonly number[], values: readonly number[], mean: number, fit: SineFit): number {
  const n = values.length;
  const omega = 2 * Math.PI * fit.hz;
  let last = 0;
  let together = 0;
  let squares = 0;
  for (let index = 0; index < n; index++) {
    const angle = omega * (timesS[index]! - timesS[0]!);
    const left = values[index]! - mean - fit.sine * Math.sin(angle) - fit.cosine * Math.cos(angle);
    if (index > 0) together += left * last;
    squares += left * left;
    last = left;
  }
  // The estimate of a short series is short of the truth: Kendall's correction.
  const seen = squares > 0 ? together / squares : 0;
  const rho = Math.max(0, Math.min(MOST_WANDER, seen + (1 + 3 * seen) / n));
  const stepS = (timesS[n - 1]! - timesS[0]!) / (n - 1);
  return Math.max(1, (1 - rho * rho) / (1 - 2 * rho * Math.cos(omega * stepS) + rho * rho));
}

interface SineFit {
  /** Sum of squares explained. */
  readonly power: number;
  readonly amplitude: number;
  readonly sine: number;
  readonly cosine: number;
  readonly hz: number;
}

function fitSine(timesS: readonly number[], values: readonly number[], mean: number, hz: number): SineFit {
  const omega = 2 * Math.PI * hz;
  let ss = 0;
  let cc = 0;
  let sc = 0;
  let sy = 0;
  let cy = 0;
  let s1 = 0;
  let c1 = 0;
  const n = timesS.length;
  for (let index = 0; index < n; index++) {
    const angle = omega * (timesS[index]! - timesS[0]!);
    const sine = Math.sin(angle);
    const cosine = Math.cos(angle);
    const y = values[index]! - mean;
    s1 += sine;
    c1 += cosine;
    ss += sine * sine;
    cc += cosine * cosine;
    sc += sine * cosine;
    sy += sine * y;
    cy += cosine * y;
  }
  ss -= (s1 * s1) / n;
  cc -= (c1 * c1) / n;
  sc -= (s1 * c1) / n;
  const determinant = ss * cc - sc * sc;
  if (!(determinant > 1e-9)) return { power: 0, amplitude: 0, sine: 0, cosine: 0, hz };
  const a = (sy * cc - cy * sc) / determinant;
  const b = (cy * ss - sy * sc) / determinant;
  return { power: a * sy + b * cy, amplitude: Math.hypot(a, b), sine: a, cosine: b, hz };
}

function refine(
  timesS: readonly number[],
  values: readonly number[],
  mean: number,
  start: SineFit,
  stepHz: number,
): SineFit {
  let best = start;
  for (let width = stepHz / 2; width > FINEST * stepHz; width /= 2) {
    for (const hz of [best.hz - width, best.hz + width]) {
      if (hz < SLOWEST_HZ || hz > FASTEST_HZ) continue;
      const fit = fitSine(timesS, values, mean, hz);
      if (fit.power > best.power) best = fit;
    }
  }
  return best;
}
