import { signal } from '@preact/signals';
import type { CheckGuide, CheckKind } from '../../../server/contract/checks.ts';
import { openView } from '../view.ts';
import { choose } from './checks-state.ts';

const picked = signal<string | null>(null);

/** From the complaint to checks in order. */
export function ComplaintGuide({ guide }: { guide: CheckGuide }) {
  const complaint = guide.complaints.find(({ id }) => id === picked.value);
  return (
    <section class="panel" aria-labelledby="complaint-name">
      <h2 class="panel-name" id="complaint-name">
        Where to begin
      </h2>
      <label class="field">
        <span>The complaint</span>
        <select
          data-testid="complaint"
          value={picked.value ?? ''}
          onChange={(event) => {
            picked.value = event.currentTarget.value;
          }}
        >
          <option value="">Pick one</option>
          {guide.complaints.map(({ id, complaint: words }) => (
            <option key={id} value={id}>
              {words}
            </option>
          ))}
        </select>
      </label>
      {complaint !== undefined && (
        <ol class="check-steps" data-testid="complaint-steps">
          {complaint.steps.map(({ check, what, because }) => (
            <li key={what}>
              <p>
                <strong>{what}</strong>, because {because}.
              </p>
              <Way check={check} guide={guide} />
            </li>
          ))}
        </ol>
      )}
      <p class="panel-note">
        The order is {guide.basis}. It is a place to begin, not a diagnosis; service data come first.
      </p>
    </section>
  );
}

function Way({ check, guide }: { check: string; guide: CheckGuide }) {
  if (check === 'by-hand') return null;
  if (check === 'balance')
    return (
      <button type="button" onClick={() => openView('bench')}>
        Bench
      </button>
    );
  const found = guide.checks.find(({ kind }) => kind === check);
  return found === undefined ? null : (
    <button type="button" onClick={() => choose(check as CheckKind)}>
      {found.name}
    </button>
  );
}
