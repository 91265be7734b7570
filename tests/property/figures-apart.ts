/** Where two results of the same form differ, in words; empty when they do not. */
export interface Leeway {
  /** Largest difference of two numbers, absolute and relative to the larger. Both default to 0. */
  readonly absolute?: number;
  readonly relative?: number;
}

type Figure = number | string | boolean | null | undefined;

/** Every figure of a result by its place, as 'cylinders.0.vacuumKpa.mean'. */
export function figuresOf(
  result: unknown,
  place = '',
  into = new Map<string, Figure>(),
): Map<string, Figure> {
  if (result !== null && typeof result === 'object') {
    if (Array.isArray(result)) into.set(`${place}.length`, result.length);
    for (const [key, value] of Object.entries(result))
      figuresOf(value, place === '' ? key : `${place}.${key}`, into);
  } else into.set(place, result as Figure);
  return into;
}

export function figuresApart(one: unknown, other: unknown, leeway: Leeway = {}): string[] {
  const before = figuresOf(one);
  const after = figuresOf(other);
  const apart: string[] = [];
  for (const place of new Set([...before.keys(), ...after.keys()])) {
    const a = before.get(place);
    const b = after.get(place);
    if (Object.is(a, b)) continue;
    if (typeof a === 'number' && typeof b === 'number' && within(a, b, leeway)) continue;
    apart.push(`${place}: ${a} -> ${b}`);
  }
  return apart;
}

function within(a: number, b: number, { absolute = 0, relative = 0 }: Leeway): boolean {
  return Math.abs(a - b) <= absolute + relative * Math.max(Math.abs(a), Math.abs(b));
}

/** Places whose figure is a number that is no number: NaN or infinite. */
export function nonFinite(result: unknown): string[] {
  return [...figuresOf(result)]
    .filter(([, value]) => typeof value === 'number' && !Number.isFinite(value))
    .map(([place, value]) => `${place}: ${value}`);
}
