/**
 * Quantile of the standard normal distribution.
 *
 * M. J. Wichura, Algorithm AS 241, Applied Statistics 37 (1988) 477-484, routine PPND16: relative error about 1e-16.
 *
 * @param probability between 0 and 1, both excluded
 * @returns z with P(Z <= z) = probability
 * @throws RangeError for a probability outside of 0…1
 * @example normalQuantile(0.975) // 1.959963984540054
 */
export function normalQuantile(probability: number): number {
  if (!(probability > 0 && probability < 1))
    throw new RangeError(`A probability lies between 0 and 1, not ${probability}`);
  const q = probability - 0.5;
  if (Math.abs(q) <= CENTRAL) {
    const r = CENTRAL * CENTRAL - q * q;
    return (q * polynomial(CENTRAL_TOP, r)) / polynomial(CENTRAL_BOTTOM, r);
  }
  const r = Math.sqrt(-Math.log(q < 0 ? probability : 1 - probability));
  const z =
    r <= FAR
      ? polynomial(TAIL_TOP, r - TAIL_FROM) / polynomial(TAIL_BOTTOM, r - TAIL_FROM)
      : polynomial(FAR_TOP, r - FAR) / polynomial(FAR_BOTTOM, r - FAR);
  return q < 0 ? -z : z;
}

const CENTRAL = 0.425;
const TAIL_FROM = 1.6;
const FAR = 5;

// Coefficients of AS 241, lowest power first.
const CENTRAL_TOP = [
  3.3871328727963665, 133.14166789178438, 1971.5909503065513, 13731.69376550946, 45921.95393154987,
  67265.7709270087, 33430.57558358813, 2509.0809287301227,
];
const CENTRAL_BOTTOM = [
  1, 42.31333070160091, 687.1870074920579, 5394.196021424751, 21213.794301586597, 39307.89580009271,
  28729.085735721943, 5226.495278852854,
];
const TAIL_TOP = [
  1.4234371107496835, 4.630337846156546, 5.769497221460691, 3.6478483247632045, 1.2704582524523684,
  0.2417807251774506, 0.022723844989269184, 0.0007745450142783414,
];
const TAIL_BOTTOM = [
  1, 2.053191626637759, 1.6763848301838038, 0.6897673349851, 0.14810397642748008, 0.015198666563616457,
  0.0005475938084995345, 1.0507500716444169e-9,
];
const FAR_TOP = [
  6.657904643501103, 5.463784911164114, 1.7848265399172913, 0.29656057182850487, 0.026532189526576124,
  0.0012426609473880784, 0.000027115555687434876, 2.0103343992922881e-7,
];
const FAR_BOTTOM = [
  1, 0.599832206555888, 0.1369298809227358, 0.014875361290850615, 0.0007868691311456133,
  0.000018463183175100548, 1.421511758316446e-7, 2.0442631033899397e-15,
];

function polynomial(coefficients: readonly number[], x: number): number {
  let sum = 0;
  for (let power = coefficients.length - 1; power >= 0; power--) sum = sum * x + coefficients[power]!;
  return sum;
}
