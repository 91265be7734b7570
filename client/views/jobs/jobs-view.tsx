import './jobs.css';
import { useEffect } from 'preact/hooks';
import { JobList } from './job-list.tsx';
import { JobPage } from './job-page.tsx';
import { MachinePage } from './machine-page.tsx';
import { NewJob } from './new-job.tsx';
import { followPlace, place } from './place.ts';
import { ShopPage } from './shop-page.tsx';

/** The job record: what was found, done and charged, and where to find it again. */
export function JobsView() {
  useEffect(followPlace, []);
  const target = place.value;
  return (
    <main class="page jobs" id="content">
      {target.at === 'list' && <JobList />}
      {target.at === 'new' && <NewJob key={target.machineId} machineId={target.machineId} />}
      {target.at === 'job' && <JobPage key={target.id} id={target.id} />}
      {target.at === 'machine' && <MachinePage key={target.id} id={target.id} />}
      {target.at === 'shop' && <ShopPage />}
    </main>
  );
}
