import type { Job } from '../contract/jobs-views.ts';
import { clearanceVerdict } from './clearance-verdict.ts';
import { EntryRecords } from './entry-records.ts';
import type { JobCaptures } from './job-captures.ts';
import { type JobChecks, RecordChecks } from './job-checks.ts';
import { MachineRecords } from './machine-records.ts';
import { OwnerRecords } from './owner-records.ts';
import type { Photos } from './photo-store.ts';
import type { RecordParts } from './record-parts.ts';
import { SearchWriter } from './search-writer.ts';
import { type BackupWish, ShopRecords } from './shop-records.ts';
import { visitCosts } from './visit-costs.ts';
import { VisitRecords } from './visit-records.ts';

export interface JobRecordSources {
  readonly photos: Photos;
  readonly captures: JobCaptures;
  /** Those in the record where nothing else is said. */
  readonly checks?: JobChecks;
  /** Where each bench has backups of its own. */
  readonly backupWish?: BackupWish;
}

/** The job record: one door to its parts. */
export class JobRecords {
  readonly parts: RecordParts;
  readonly owners: OwnerRecords;
  readonly machines: MachineRecords;
  readonly visits: VisitRecords;
  readonly entries: EntryRecords;
  readonly shop: ShopRecords;
  readonly photos: Photos;
  readonly captures: JobCaptures;
  readonly checks: JobChecks;

  constructor(parts: RecordParts, { photos, captures, checks, backupWish }: JobRecordSources) {
    const search = new SearchWriter(parts.db);
    this.parts = parts;
    this.owners = new OwnerRecords(parts, search);
    this.machines = new MachineRecords(parts, search);
    this.shop = new ShopRecords(parts, backupWish);
    this.visits = new VisitRecords({ parts, search, machines: this.machines, shop: this.shop });
    this.entries = new EntryRecords(parts, search, this.visits);
    this.photos = photos;
    this.captures = captures;
    this.checks = checks ?? new RecordChecks(parts);
  }

  /** Everything of one visit, with what is worked out from it; null where there is none. */
  async job(visitId: string): Promise<Job | null> {
    const visit = await this.visits.get(visitId);
    if (visit === null) return null;
    const machine = (await this.machines.get(visit.machineId))!;
    const owner = visit.ownerId === null ? null : await this.owners.get(visit.ownerId);
    const entries = await this.entries.ofVisit(visitId);
    const clearances: Job['clearances'] = {};
    for (const { id, body } of entries) {
      if (body.kind !== 'clearance') continue;
      const { intakeClearance, exhaustClearance } = machine.service;
      const specification = body.side === 'intake' ? intakeClearance : exhaustClearance;
      clearances[id] = clearanceVerdict(body.reading, specification);
    }
    return {
      visit,
      machine,
      owner,
      entries,
      captures: await this.captures.listForVisit(visitId),
      clearances,
      costs: visitCosts(visit, entries),
    };
  }
}
