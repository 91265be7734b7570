import type { AppParts } from './app-parts.ts';

/**
 * The job on the bench, which a capture that starts now is put on; null where there is none that it may go to: what the
 * practice engine did is evidence of no real job, nor the other way round.
 */
export async function benchJob({
  session,
  visit,
}: Pick<AppParts, 'session' | 'visit'>): Promise<string | null> {
  const { benchVisitId } = session.setup;
  if (benchVisitId == null) return null;
  const job = await visit(benchVisitId);
  return job !== null && job.practice === session.practice ? benchVisitId : null;
}
