import type { CheckResult } from '../../contract/checks.ts';
import type { Shop } from '../../contract/jobs.ts';
import type { JobRecords } from '../job-records.ts';
import type { VisitComparison } from '../visit-comparison.ts';
import { jobReport } from './job-report.ts';

/** Photos beyond this are left out of the page, which says so; the record keeps them [bytes]. */
export const MAX_REPORT_PHOTO_BYTES = 40 * 1024 * 1024;

export interface ReportWish {
  readonly visitId: string;
  readonly comparison: VisitComparison | null;
  /** Those of the job; none where left out. */
  readonly checkResults?: readonly CheckResult[];
  /** The shop's own paper where left out. */
  readonly paper?: Shop['paper'];
  readonly printedAtMs: number;
  readonly softwareVersion: string;
}

/** Gathers what the page shows; null where there is no such visit. */
export async function makeReport(records: JobRecords, wish: ReportWish): Promise<string | null> {
  const job = await records.job(wish.visitId);
  if (job === null) return null;
  const shop = await records.shop.get();
  const ids = job.entries.flatMap(({ body }) => (body.kind === 'finding' ? body.photoIds : []));
  if (shop.logoPhotoId !== null) ids.unshift(shop.logoPhotoId);
  const photos = new Map<string, string>();
  let bytes = 0;
  for (const id of new Set(ids)) {
    const photo = await records.photos.get(id);
    if (photo === null || bytes + photo.bytes > MAX_REPORT_PHOTO_BYTES) continue;
    const data = await records.photos.bytes(id);
    if (data === null) continue;
    bytes += photo.bytes;
    photos.set(id, `data:${photo.type};base64,${data.toString('base64')}`);
  }
  const { comparison, checkResults = [], printedAtMs, softwareVersion } = wish;
  return jobReport({
    job,
    shop,
    comparison,
    checkResults,
    photos,
    paper: wish.paper ?? shop.paper,
    printedAtMs,
    softwareVersion,
  });
}
