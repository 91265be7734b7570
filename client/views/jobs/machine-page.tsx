import type { Machine, MachineFields, Owner, OwnerFields } from '../../../server/contract/jobs.ts';
import type { VisitRow } from '../../../server/contract/jobs-views.ts';
import { VISIT_STATE_WORDS } from '../../../server/contract/visit-states.ts';
import { CheckedField } from './checked-field.tsx';
import { dayWords } from './day-words.ts';
import { EntryStatus } from './entry-status.tsx';
import { machineName } from './machine-name.ts';
import { odometerWords } from './odometer-field.tsx';
import { OwnerChoice } from './owner-choice.tsx';
import { go } from './place.ts';
import { addressOf } from './place-address.ts';
import { ProblemLine } from './problem-line.tsx';
import { records } from './record-api.ts';
import { SelectField } from './select-field.tsx';
import { ServiceFiguresPart } from './service-figures.tsx';
import { TextField, textOf } from './text-field.tsx';
import { typedYear, WRONG_YEAR } from './typed-year.ts';
import { type EntryEdit, useEntry } from './use-entry.ts';
import { useFetched } from './use-fetched.ts';

/** A machine: what it is, what its manual says, and every visit that it made. */
export function MachinePage({ id }: { id: string }) {
  const machine = useFetched(() => records.machine(id), id);
  return (
    <>
      <a href={addressOf({ at: 'list' })}>All jobs</a>
      <ProblemLine problem={machine.problem} again={machine.again} />
      {machine.value !== null && <MachineParts machine={machine.value} put={machine.put} />}
    </>
  );
}

function MachineParts({ machine, put }: { machine: Machine; put: (machine: Machine) => void }) {
  const edit = useEntry<MachineFields, Machine>(
    `machine ${machine.id}`,
    { revision: machine.revision, fields: machineFields(machine) },
    (revision, fields) => records.changeMachine(machine.id, revision, fields),
    machineFields,
    put,
  );
  return (
    <>
      <div class="page-head">
        <h1>
          {machineName(machine)}
          {machine.practice && <span class="practice-mark"> practice</span>}
        </h1>
        <button
          type="button"
          class="strong"
          data-testid="job-for-machine"
          onClick={() => go({ at: 'new', machineId: machine.id })}
        >
          New job
        </button>
      </div>
      <EntryStatus {...edit} />
      <div class="page-columns">
        <div>
          <Identity edit={edit} />
          <OwnerPart edit={edit} />
        </div>
        <div>
          <History machineId={machine.id} />
        </div>
      </div>
      <ServiceFiguresPart
        figures={edit.draft.service}
        cylinders={edit.draft.cylinders}
        onChange={(change) => edit.save({ service: { ...edit.draft.service, ...change } })}
      />
    </>
  );
}

function Identity({ edit }: { edit: EntryEdit<MachineFields> }) {
  const { draft } = edit;
  const text = (
    key: 'make' | 'model' | 'frameNumber' | 'layout' | 'firing' | 'throttleLinkage' | 'notes',
  ) => ({
    id: `machine-${key}`,
    ...textOf(edit, key),
  });
  return (
    <section class="panel" aria-labelledby="identity-name">
      <h2 class="panel-name" id="identity-name">
        Machine
      </h2>
      <div class="field-grid">
        <TextField name="Make" {...text('make')} />
        <TextField name="Model" {...text('model')} />
        <CheckedField
          name="Year"
          id="machine-year"
          stored={draft.year === null ? '' : String(draft.year)}
          wrongWith={(text) => (typedYear(text) === 'wrong' ? WRONG_YEAR : '')}
          onLeave={(text) => {
            const year = typedYear(text);
            if (year !== 'wrong' && year !== draft.year) edit.save({ year });
          }}
        />
        <TextField
          name="Plate"
          id="machine-plate"
          value={draft.plate ?? ''}
          onInput={(plate) => edit.set({ plate: plate === '' ? null : plate })}
          onLeave={() => edit.save()}
        />
        <TextField name="Frame number" {...text('frameNumber')} />
        <SelectField
          name="Cylinders"
          id="machine-cylinders"
          value={String(draft.cylinders)}
          options={Array.from({ length: 8 }, (_, at) => ({ value: String(at + 1), words: String(at + 1) }))}
          onChoose={(value) => edit.save({ cylinders: Number(value) })}
        />
        <TextField name="Layout" note="Parallel twin, V-four" {...text('layout')} />
        <TextField name="Firing" note="Order or intervals, as the manual gives them" {...text('firing')} />
      </div>
      <TextField
        name="Throttle linkage"
        note="How the throttles are tied together, and which has no screw of its own."
        {...text('throttleLinkage')}
      />
      <TextField name="Notes" lines={3} {...text('notes')} />
    </section>
  );
}

function OwnerPart({ edit }: { edit: EntryEdit<MachineFields> }) {
  const { ownerId } = edit.draft;
  const owner = useFetched<Owner | null>(
    async () => (ownerId === null ? { ok: true, value: null } : records.owner(ownerId)),
    ownerId ?? '',
  );
  return (
    <section class="panel" aria-labelledby="owner-part-name">
      <h2 class="panel-name" id="owner-part-name">
        Owner
      </h2>
      <ProblemLine problem={owner.problem} again={owner.again} />
      {owner.value === null || ownerId === null ? (
        <OwnerChoice owner={null} onChoose={(chosen) => edit.save({ ownerId: chosen?.id ?? null })} />
      ) : (
        <>
          <OwnerForm key={owner.value.id} owner={owner.value} />
          <button type="button" class="plain" onClick={() => edit.save({ ownerId: null })}>
            It has another owner now
          </button>
        </>
      )}
    </section>
  );
}

function OwnerForm({ owner }: { owner: Owner }) {
  const edit = useEntry<OwnerFields, Owner>(
    `owner ${owner.id}`,
    { revision: owner.revision, fields: ownerFields(owner) },
    (revision, fields) => records.changeOwner(owner.id, revision, fields),
    ownerFields,
  );
  return (
    <>
      <TextField name="Name" id="owner-name" {...textOf(edit, 'name')} />
      <div class="field-grid">
        <TextField name="Telephone" id="owner-phone" type="tel" {...textOf(edit, 'phone')} />
        <TextField name="E-mail" id="owner-email" type="email" {...textOf(edit, 'email')} />
      </div>
      <TextField name="Address" id="owner-address" lines={2} {...textOf(edit, 'address')} />
      <TextField name="Notes on the owner" id="owner-notes" lines={2} {...textOf(edit, 'notes')} />
      {edit.status !== 'saved' && <EntryStatus {...edit} />}
    </>
  );
}

function History({ machineId }: { machineId: string }) {
  const list = useFetched(
    () => records.visits({ machineId, practice: 'with', sort: 'newest', limit: '200' }),
    machineId,
  );
  const rows = list.value?.rows ?? [];
  return (
    <section class="panel" aria-labelledby="history-name">
      <h2 class="panel-name" id="history-name">
        History
      </h2>
      <ProblemLine problem={list.problem} again={list.again} />
      {list.value !== null && rows.length === 0 && <p>No visit yet.</p>}
      <ul class="job-rows">
        {rows.map((row) => (
          <HistoryRow key={row.id} row={row} />
        ))}
      </ul>
    </section>
  );
}

function HistoryRow({ row }: { row: VisitRow }) {
  const facts = [
    row.odometer === null ? '' : odometerWords(row.odometer),
    row.nextDueWhat === '' ? '' : `due next: ${row.nextDueWhat}`,
    row.nextDueDay === null ? '' : `by ${dayWords(row.nextDueDay)}`,
    row.nextDueOdometer === null ? '' : `at ${odometerWords(row.nextDueOdometer)}`,
  ];
  return (
    <li>
      <a class="job-row" href={addressOf({ at: 'job', id: row.id })}>
        <span class="job-machine">{dayWords(row.day)}</span>
        <span class="job-state">{VISIT_STATE_WORDS[row.state]}</span>
        <span class="job-complaint">
          {row.complaint === '' ? 'No complaint written down' : row.complaint}
        </span>
        <span class="job-facts">{facts.filter((fact) => fact !== '').join(', ')}</span>
      </a>
    </li>
  );
}

function machineFields(machine: Machine): MachineFields {
  const { id: _id, revision: _revision, createdAtMs: _created, updatedAtMs: _updated, ...fields } = machine;
  return fields;
}

function ownerFields({ name, phone, email, address, notes }: Owner): OwnerFields {
  return { name, phone, email, address, notes };
}
