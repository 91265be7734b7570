/** Whether two JSON values say the same, whatever the order of their members. */
export function sameContent(a: unknown, b: unknown): boolean {
  return ordered(a) === ordered(b);
}

function ordered(value: unknown): string {
  return JSON.stringify(value, (_key, inner: unknown) =>
    typeof inner === 'object' && inner !== null && !Array.isArray(inner)
      ? Object.fromEntries(Object.entries(inner).sort(([first], [second]) => (first < second ? -1 : 1)))
      : inner,
  );
}
