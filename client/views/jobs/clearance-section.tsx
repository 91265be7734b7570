import { useState } from 'preact/hooks';
import type { ClearanceBody, ClearanceReading } from '../../../server/contract/jobs-entries.ts';
import type { ClearanceFigure } from '../../../server/contract/jobs-values.ts';
import type { ClearanceVerdict, Job } from '../../../server/contract/jobs-views.ts';
import { WideTable } from '../wide-table.tsx';
import { DecimalField } from './decimal-field.tsx';
import type { JobSectionProps } from './job-page.tsx';
import { RemoveButton } from './remove-button.tsx';
import { SelectField } from './select-field.tsx';
import { addLine, type LineOf, linesOf, useLine } from './use-line.ts';

type Unit = ClearanceReading['unit'];

const VERDICT_WORDS: Readonly<Record<ClearanceVerdict, string>> = {
  in: 'in',
  tight: 'tight',
  loose: 'loose',
  straddling: 'across the limit: use a blade between',
  'no-specification': 'no figure to compare with',
  impossible: 'cannot be: the blade that went in is thicker',
};
const SIDES = [
  { value: 'intake', words: 'intake' },
  { value: 'exhaust', words: 'exhaust' },
] as const;
const WHENS = [
  { value: 'found', words: 'as found' },
  { value: 'left', words: 'as left' },
] as const;
const HOWS = [
  { value: 'feeler', words: 'two blades' },
  { value: 'measured', words: 'one figure' },
] as const;
const UNITS = [
  { value: 'mm', words: 'mm' },
  { value: 'thou', words: 'thou' },
] as const;

/** Valve clearances, cold, against the machine's own figures. */
export function ClearanceSection({ job, again }: JobSectionProps) {
  const lines = linesOf(job, 'clearance');
  const { intakeClearance, exhaustClearance } = job.machine.service;
  return (
    <section class="panel" aria-labelledby="clearances-name">
      <h2 class="panel-name" id="clearances-name">
        Valve clearances
      </h2>
      <p class="field-note">
        Engine cold. Intake {rangeWords(intakeClearance)}, exhaust {rangeWords(exhaustClearance)}.
      </p>
      {lines.length > 0 && (
        <WideTable name="Valve clearances, readings">
          <table>
            <thead>
              <tr>
                <th scope="col">Valve</th>
                <th scope="col">Verdict and reading</th>
                <td />
              </tr>
            </thead>
            <tbody>
              {lines.map((line) => (
                <Row key={line.id} line={line} verdict={job.clearances[line.id] ?? null} again={again} />
              ))}
            </tbody>
          </table>
        </WideTable>
      )}
      <NewClearance job={job} again={again} />
    </section>
  );
}

function Row(props: { line: LineOf<'clearance'>; verdict: ClearanceVerdict | null; again: () => void }) {
  const { line, verdict, again } = props;
  const edit = useLine(line, again);
  const { body } = edit;
  const name = valveWords(body);
  return (
    <tr>
      <th scope="row" class="wrapping">
        {name}, {body.when === 'found' ? 'as found' : 'as left'}
      </th>
      <td class="wrapping">
        <b data-testid="clearance-verdict">{verdict === null ? '' : VERDICT_WORDS[verdict]}</b>
        <div class="field-note">{readingWords(body.reading)}</div>
      </td>
      <td>
        <RemoveButton what={name} onRemove={edit.remove} />
      </td>
    </tr>
  );
}

function NewClearance({ job, again }: { job: Job; again: () => void }) {
  const [body, setBody] = useState<ClearanceBody>(() => ({
    kind: 'clearance',
    cylinder: 1,
    side: 'intake',
    valve: 1,
    when: 'found',
    reading: {
      how: 'feeler',
      goes: null,
      stops: null,
      unit: job.machine.service.intakeClearance?.unit ?? 'mm',
    },
    note: '',
  }));
  const { reading } = body;
  const change = (part: Partial<ClearanceBody>) => setBody((now) => ({ ...now, ...part }));
  const read = (next: ClearanceReading) => change({ reading: next });
  const complete =
    reading.how === 'measured' ? reading.value !== '' : reading.goes !== null || reading.stops !== null;
  const add = async () => {
    if (!complete) return;
    // On to the next valve at once; where it could not be written down, back to this one.
    setBody(nextValve(body, job.machine.cylinders));
    if (!(await addLine(job, body, again))) setBody(body);
  };
  const numbers = (most: number) =>
    Array.from({ length: most }, (_, at) => ({ value: String(at + 1), words: String(at + 1) }));
  return (
    <fieldset class="new-line">
      <legend>Write down a valve</legend>
      <div class="field-grid short">
        <SelectField
          name="Cylinder"
          id="valve-cylinder"
          value={String(body.cylinder)}
          options={numbers(job.machine.cylinders)}
          onChoose={(value) => change({ cylinder: Number(value) })}
        />
        <SelectField
          name="Side"
          id="valve-side"
          value={body.side}
          options={SIDES}
          onChoose={(side) => change({ side })}
        />
        <SelectField
          name="Valve of that side"
          id="valve-number"
          value={String(body.valve)}
          options={numbers(4)}
          onChoose={(value) => change({ valve: Number(value) })}
        />
        <SelectField
          name="When"
          id="valve-when"
          value={body.when}
          options={WHENS}
          onChoose={(when) => change({ when })}
        />
        <SelectField
          name="Measured with"
          id="valve-how"
          value={reading.how}
          options={HOWS}
          onChoose={(how) =>
            read(
              how === 'measured'
                ? { how, value: '', unit: reading.unit }
                : { how, goes: null, stops: null, unit: reading.unit },
            )
          }
        />
        <SelectField<Unit>
          name="Unit"
          id="valve-unit"
          value={reading.unit}
          options={UNITS}
          onChoose={(unit) => read({ ...reading, unit })}
        />
        {reading.how === 'feeler' ? (
          <>
            <DecimalField
              name="This blade goes in"
              id="valve-goes"
              value={reading.goes}
              onChange={(goes) => read({ ...reading, goes })}
            />
            <DecimalField
              name="This blade does not"
              id="valve-stops"
              value={reading.stops}
              onChange={(stops) => read({ ...reading, stops })}
            />
          </>
        ) : (
          <DecimalField
            name="Clearance"
            id="valve-value"
            value={reading.value === '' ? null : reading.value}
            onChange={(value) => read({ ...reading, value: value ?? '' })}
          />
        )}
      </div>
      <button type="button" class="start" data-testid="add-clearance" disabled={!complete} onClick={add}>
        Add
      </button>
    </fieldset>
  );
}

/** Intake then exhaust of a cylinder, then the next cylinder. */
function nextValve(body: ClearanceBody, cylinders: number): ClearanceBody {
  if (body.side === 'intake') return { ...body, side: 'exhaust' };
  return { ...body, side: 'intake', cylinder: body.cylinder < cylinders ? body.cylinder + 1 : 1 };
}

function valveWords({ cylinder, side, valve }: ClearanceBody): string {
  return `Cylinder ${cylinder}, ${side} ${valve}`;
}

function readingWords(reading: ClearanceReading): string {
  if (reading.how === 'measured') return `${reading.value} ${reading.unit}`;
  const parts = [
    reading.goes === null ? '' : `${reading.goes} goes in`,
    reading.stops === null ? '' : `${reading.stops} does not`,
  ].filter((part) => part !== '');
  return `${parts.join(', ')} (${reading.unit})`;
}

function rangeWords(figure: ClearanceFigure | null): string {
  return figure === null ? 'not looked up' : `${figure.low} to ${figure.high} ${figure.unit}`;
}
