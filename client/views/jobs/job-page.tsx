import type { Visit, VisitFields } from '../../../server/contract/jobs.ts';
import type { Job } from '../../../server/contract/jobs-views.ts';
import { CapturesSection } from './captures-section.tsx';
import { CheckedSection } from './checked-section.tsx';
import { ChecklistSection } from './checklist-section.tsx';
import { ClearanceSection } from './clearance-section.tsx';
import { CostsSection } from './costs-section.tsx';
import { EntryStatus } from './entry-status.tsx';
import { FindingsSection } from './findings-section.tsx';
import { HandOverSection } from './hand-over-section.tsx';
import { JobHead } from './job-head.tsx';
import { addressOf } from './place-address.ts';
import { ProblemLine } from './problem-line.tsx';
import { records } from './record-api.ts';
import { useEntry } from './use-entry.ts';
import { useFetched } from './use-fetched.ts';

/** One job from complaint to hand-over, in the order of the work. */
export function JobPage({ id }: { id: string }) {
  const job = useFetched(() => records.job(id), id);
  return (
    <>
      <a href={addressOf({ at: 'list' })}>All jobs</a>
      <ProblemLine problem={job.problem} again={job.again} />
      {job.value !== null && <JobParts job={job.value} again={job.again} />}
    </>
  );
}

export interface JobSectionProps {
  readonly job: Job;
  /** Reads the job again: costs and verdicts are worked out by the program. */
  readonly again: () => void;
}

function JobParts({ job, again }: JobSectionProps) {
  const { visit } = job;
  const edit = useEntry<VisitFields, Visit>(
    `visit ${visit.id}`,
    { revision: visit.revision, fields: visitFields(visit) },
    (revision, fields) => records.changeVisit(visit.id, revision, fields),
    visitFields,
    again,
  );
  return (
    <>
      <JobHead job={job} edit={edit} />
      <EntryStatus {...edit} />
      <ChecklistSection job={job} again={again} />
      <ClearanceSection job={job} again={again} />
      <FindingsSection job={job} again={again} />
      <CheckedSection visitId={visit.id} />
      <CapturesSection job={job} again={again} />
      <CostsSection job={job} again={again} />
      <HandOverSection job={job} edit={edit} />
    </>
  );
}

function visitFields(visit: Visit): VisitFields {
  const { machineId, state, day, complaint, odometer, technician, roadTest, handOver } = visit;
  const { handedOverOn, nextDue, notes, pricing } = visit;
  return {
    machineId,
    state,
    day,
    complaint,
    odometer,
    technician,
    roadTest,
    handOver,
    handedOverOn,
    nextDue,
    notes,
    pricing,
  };
}
