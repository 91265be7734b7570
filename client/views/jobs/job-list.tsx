import { signal } from '@preact/signals';
import { useEffect, useState } from 'preact/hooks';
import type { VisitRow } from '../../../server/contract/jobs-views.ts';
import { VISIT_STATE_WORDS, VISIT_STATES, type VisitState } from '../../../server/contract/visit-states.ts';
import { dayWords } from './day-words.ts';
import { go } from './place.ts';
import { addressOf } from './place-address.ts';
import { ProblemLine } from './problem-line.tsx';
import { addresses, records } from './record-api.ts';
import { SelectField } from './select-field.tsx';
import { SharingTrouble } from './sharing-status.tsx';
import { useFetched } from './use-fetched.ts';

const PAGE_ROWS = 50;
/** The list is asked for anew when nothing was typed for so long [ms]. */
const TYPING_PAUSE_MS = 150;

type StateFilter = VisitState | 'any' | 'open';
type Sort = 'newest' | 'changed' | 'oldest' | 'machine' | 'owner' | 'state';
type Practice = 'without' | 'with' | 'only';

/** Kept while other pages are open, so that 'back' finds the same list. */
const asked = signal({
  q: '',
  state: 'any' as StateFilter,
  sort: 'newest' as Sort,
  practice: 'without' as Practice,
});

const STATES: readonly { value: StateFilter; words: string }[] = [
  { value: 'any', words: 'in any state' },
  { value: 'open', words: 'not handed over' },
  ...VISIT_STATES.map((value) => ({ value, words: VISIT_STATE_WORDS[value] })),
];
const SORTS: readonly { value: Sort; words: string }[] = [
  { value: 'newest', words: 'newest first' },
  { value: 'oldest', words: 'oldest first' },
  { value: 'changed', words: 'last changed first' },
  { value: 'machine', words: 'by machine' },
  { value: 'owner', words: 'by owner' },
  { value: 'state', words: 'by state' },
];
const PRACTICE: readonly { value: Practice; words: string }[] = [
  { value: 'without', words: 'real jobs' },
  { value: 'only', words: 'practice jobs' },
  { value: 'with', words: 'real and practice' },
];

/** All jobs: searched, filtered, sorted. */
export function JobList() {
  const { q, state, sort, practice } = asked.value;
  const [rows, setRows] = useState(PAGE_ROWS);
  const question = {
    q,
    sort,
    practice,
    state:
      state === 'any'
        ? undefined
        : state === 'open'
          ? VISIT_STATES.filter((one) => one !== 'handed-over').join(',')
          : state,
  };
  const list = useFetched(
    () => records.visits({ ...question, limit: String(Math.min(rows, 200)) }),
    JSON.stringify([question, rows]),
  );
  const page = list.value;
  return (
    <>
      <div class="page-head">
        <h1>Jobs</h1>
        <div class="button-row">
          <button
            type="button"
            class="strong"
            data-testid="new-job"
            onClick={() => go({ at: 'new', machineId: null })}
          >
            New job
          </button>
          <button type="button" onClick={() => go({ at: 'shop' })}>
            Shop and backup
          </button>
        </div>
      </div>
      <SharingTrouble onBack={list.again} />
      <search class="job-filters">
        <SearchField />
        <SelectField
          name="State"
          id="job-state"
          value={state}
          options={STATES}
          onChoose={(value) => ask({ state: value })}
        />
        <SelectField
          name="Order"
          id="job-sort"
          value={sort}
          options={SORTS}
          onChoose={(value) => ask({ sort: value })}
        />
        <SelectField
          name="Kind"
          id="job-practice"
          value={practice}
          options={PRACTICE}
          onChoose={(value) => ask({ practice: value })}
        />
      </search>
      <ProblemLine problem={list.problem} again={list.again} />
      {page !== null && (
        <>
          <p class="field-note" role="status" data-testid="job-count">
            {countWords(page.total, q, practice)}
          </p>
          <ul class="job-rows">
            {page.rows.map((row) => (
              <Row key={row.id} row={row} />
            ))}
          </ul>
          <div class="button-row">
            {page.total > page.rows.length && rows < 200 && (
              <button type="button" onClick={() => setRows(rows + PAGE_ROWS)}>
                Show more
              </button>
            )}
            {page.total > 0 && (
              <a class="file-link" href={addresses.table(question)} download>
                This list as CSV
              </a>
            )}
          </div>
        </>
      )}
    </>
  );
}

function ask(change: Partial<typeof asked.value>): void {
  asked.value = { ...asked.value, ...change };
}

function SearchField() {
  const [text, setText] = useState(asked.value.q);
  useEffect(() => {
    const timer = setTimeout(() => ask({ q: text.trim() }), TYPING_PAUSE_MS);
    return () => clearTimeout(timer);
  }, [text]);
  return (
    <div class="field job-search">
      <label for="job-q">Search in everything that was written down</label>
      <input
        id="job-q"
        type="text"
        maxLength={200}
        autoComplete="off"
        value={text}
        onInput={(event) => setText(event.currentTarget.value)}
      />
    </div>
  );
}

function Row({ row }: { row: VisitRow }) {
  const { id, day, machine, plate, owner, complaint, state, practice, captures, snippet } = row;
  const facts = [
    dayWords(day),
    owner ?? '',
    plate ?? '',
    captures === 0 ? '' : `${captures} ${captures === 1 ? 'capture' : 'captures'}`,
  ];
  return (
    <li>
      <a class="job-row" href={addressOf({ at: 'job', id })}>
        <span class="job-machine">
          {machine}
          {practice && <span class="practice-mark"> practice</span>}
        </span>
        <span class="job-state">{VISIT_STATE_WORDS[state]}</span>
        <span class="job-complaint">
          {snippet ?? (complaint === '' ? 'No complaint written down' : complaint)}
        </span>
        <span class="job-facts">{facts.filter((fact) => fact !== '').join(', ')}</span>
      </a>
    </li>
  );
}

function countWords(total: number, q: string, practice: Practice): string {
  if (total > 0) return `${total} ${total === 1 ? 'job' : 'jobs'}${q === '' ? '' : ' found'}`;
  if (q !== '') return 'Nothing found. Fewer words find more.';
  return practice === 'without'
    ? 'No jobs of real machines yet. Practice jobs are kept apart.'
    : 'No jobs yet.';
}
