/** Two people change the same entry: what each of them changed is kept, and where both changed the same, one has to choose. */

export interface Clash {
  /** Names of the field and of those around it, outermost first. */
  readonly path: readonly string[];
  readonly mine: unknown;
  readonly theirs: unknown;
}

export interface Merge<T> {
  /** Mine and theirs together; mine where the two clash. */
  readonly merged: T;
  readonly clashes: readonly Clash[];
}

/**
 * Three-way merge of an entry, field by field. Lists are one value: their lines have no names to tell them apart by.
 *
 * @param base what both started from
 */
export function mergeEdit<T>(base: T, mine: T, theirs: T): Merge<T> {
  const clashes: Clash[] = [];
  const merged = merge(base, mine, theirs, [], clashes) as T;
  return { merged, clashes };
}

/** `value` with their version of every clash in it. */
export function takeTheirs<T>(value: T, clashes: readonly Clash[]): T {
  return clashes.reduce<unknown>((whole, { path, theirs }) => withValue(whole, path, theirs), value) as T;
}

/** Whether two values of JSON are the same. */
export function sameValue(a: unknown, b: unknown): boolean {
  if (a === b) return true;
  if (Array.isArray(a) || Array.isArray(b)) {
    return (
      Array.isArray(a) &&
      Array.isArray(b) &&
      a.length === b.length &&
      a.every((one, at) => sameValue(one, b[at]))
    );
  }
  if (!isFields(a) || !isFields(b)) return false;
  const names = new Set([...Object.keys(a), ...Object.keys(b)]);
  return [...names].every((name) => sameValue(a[name], b[name]));
}

function merge(
  base: unknown,
  mine: unknown,
  theirs: unknown,
  path: readonly string[],
  clashes: Clash[],
): unknown {
  if (sameValue(mine, theirs) || sameValue(base, theirs)) return mine;
  if (sameValue(base, mine)) return theirs;
  if (isFields(base) && isFields(mine) && isFields(theirs)) {
    const names = new Set([...Object.keys(mine), ...Object.keys(theirs)]);
    return Object.fromEntries(
      [...names].map((name) => [name, merge(base[name], mine[name], theirs[name], [...path, name], clashes)]),
    );
  }
  clashes.push({ path, mine, theirs });
  return mine;
}

function withValue(whole: unknown, path: readonly string[], value: unknown): unknown {
  const [name, ...rest] = path;
  if (name === undefined) return value;
  const fields = isFields(whole) ? whole : {};
  return { ...fields, [name]: withValue(fields[name], rest, value) };
}

function isFields(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
