import type { Store } from '../../../../server/jobs/open-store.ts';
import { figures, header } from '../capture-fixture.ts';

/** A finished capture of some chunks whose counts tell it from any other. @returns its id */
export function captureOnBench(
  store: Store,
  mark: number,
  options: Partial<typeof header> = {},
  chunks = 6,
): string {
  const id = store.captures.begin({ ...header, startedAtMs: 1_700_000_000_000 + mark, ...options });
  for (let chunk = 0; chunk < chunks; chunk++) {
    const timeTicks = Array.from({ length: 200 }, (_, row) => (chunk * 200 + row) * 2000);
    const counts = [0, 1].map((channel) =>
      timeTicks.map((ticks) => (ticks * (mark + 7) + channel * 331) % 1023),
    );
    store.captures.append(id, { timeTicks, counts });
  }
  store.captures.complete(id, { ...figures, spreadKpa: mark });
  return id;
}
