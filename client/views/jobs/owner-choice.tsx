import { useState } from 'preact/hooks';
import type { ErrorBody } from '../../../server/contract/http.ts';
import type { Owner } from '../../../server/contract/jobs.ts';
import { ProblemLine } from './problem-line.tsx';
import { records } from './record-api.ts';
import { TextField } from './text-field.tsx';
import { useFetched } from './use-fetched.ts';

interface OwnerChoiceProps {
  readonly owner: Owner | null;
  readonly onChoose: (owner: Owner | null) => void;
}

/** An owner who is known already, or a new one. */
export function OwnerChoice({ owner, onChoose }: OwnerChoiceProps) {
  const [name, setName] = useState('');
  const [problem, setProblem] = useState<ErrorBody | null>(null);
  const typed = name.trim();
  const found = useFetched(() => records.owners(typed), typed);
  if (owner !== null) {
    return (
      <div class="button-row">
        <p>
          Owner: <b>{owner.name}</b>
        </p>
        <button type="button" onClick={() => onChoose(null)}>
          Another owner
        </button>
      </div>
    );
  }
  const add = async () => {
    const made = await records.addOwner({ name: typed, phone: '', email: '', address: '', notes: '' });
    if (made.ok) onChoose(made.value);
    setProblem(made.ok ? null : made.error);
  };
  return (
    <div class="owner-choice">
      <TextField name="Owner" id="owner-name" value={name} onInput={setName} />
      <ProblemLine problem={problem} again={add} />
      {typed !== '' && (
        <div class="button-row">
          {(found.value?.rows ?? []).slice(0, 5).map((known) => (
            <button type="button" key={known.id} onClick={() => onChoose(known)}>
              {known.name}
            </button>
          ))}
          <button type="button" data-testid="new-owner" onClick={add}>
            New: {typed}
          </button>
        </div>
      )}
    </div>
  );
}
