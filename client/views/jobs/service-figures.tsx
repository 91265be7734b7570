import type { ClearanceFigure, ServiceFigures } from '../../../server/contract/jobs-values.ts';
import { PRESSURE_UNITS } from '../../units/pressure-unit.ts';
import { DecimalField } from './decimal-field.tsx';
import { SelectField } from './select-field.tsx';
import { SourceField } from './source-field.tsx';

interface PartProps {
  readonly figures: ServiceFigures;
  readonly cylinders: number;
  readonly onChange: (change: Partial<ServiceFigures>) => void;
}

const CLEARANCE_UNITS = [
  { value: 'mm', words: 'mm' },
  { value: 'thou', words: 'thou' },
] as const;

/** What the machine's own service data say, each with where it was read. */
export function ServiceFiguresPart({ figures, cylinders, onChange }: PartProps) {
  const { idleSpeed, vacuumDifference, referenceCylinder, sparkPlug } = figures;
  return (
    <section class="panel" aria-labelledby="service-name">
      <h2 class="panel-name" id="service-name">
        Service figures
      </h2>
      <p class="field-note">
        From the machine’s own service data, in the unit given there, with manual and page. The program fills
        in nothing by itself.
      </p>
      <ul class="line-list">
        <li class="line figure-line">
          <DecimalField
            name="Idle speed, r/min"
            id="figure-idle"
            value={idleSpeed?.value ?? null}
            onChange={(value) =>
              onChange({
                idleSpeed:
                  value === null
                    ? null
                    : {
                        value,
                        band: idleSpeed?.band ?? null,
                        unit: 'r/min',
                        source: idleSpeed?.source ?? '',
                      },
              })
            }
          />
          {idleSpeed !== null && (
            <>
              <DecimalField
                name="Band, ± r/min"
                id="figure-idle-band"
                value={idleSpeed.band}
                onChange={(band) => onChange({ idleSpeed: { ...idleSpeed, band } })}
              />
              <SourceField
                id="figure-idle-source"
                source={idleSpeed.source}
                onChange={(source) => onChange({ idleSpeed: { ...idleSpeed, source } })}
              />
            </>
          )}
        </li>
        <li class="line figure-line">
          <DecimalField
            name="Permitted vacuum difference"
            id="figure-difference"
            value={vacuumDifference?.value ?? null}
            onChange={(value) =>
              onChange({
                vacuumDifference:
                  value === null
                    ? null
                    : {
                        value,
                        unit: vacuumDifference?.unit ?? 'kPa',
                        source: vacuumDifference?.source ?? '',
                      },
              })
            }
          />
          {vacuumDifference !== null && (
            <>
              <SelectField
                name="Unit"
                id="figure-difference-unit"
                value={vacuumDifference.unit}
                options={PRESSURE_UNITS.map(({ id }) => ({ value: id, words: id }))}
                onChoose={(unit) => onChange({ vacuumDifference: { ...vacuumDifference, unit } })}
              />
              <SourceField
                id="figure-difference-source"
                source={vacuumDifference.source}
                onChange={(source) => onChange({ vacuumDifference: { ...vacuumDifference, source } })}
              />
            </>
          )}
        </li>
        <Clearance
          name="Intake clearance"
          id="figure-intake"
          figure={figures.intakeClearance}
          onChange={(intakeClearance) => onChange({ intakeClearance })}
        />
        <Clearance
          name="Exhaust clearance"
          id="figure-exhaust"
          figure={figures.exhaustClearance}
          onChange={(exhaustClearance) => onChange({ exhaustClearance })}
        />
        <li class="line figure-line">
          <SourceField
            name="Spark plug"
            id="figure-plug"
            source={sparkPlug?.type ?? ''}
            onChange={(type) =>
              onChange({
                sparkPlug:
                  type === '' ? null : { type, gap: sparkPlug?.gap ?? null, source: sparkPlug?.source ?? '' },
              })
            }
          />
          {sparkPlug !== null && (
            <SourceField
              id="figure-plug-source"
              source={sparkPlug.source}
              onChange={(source) => onChange({ sparkPlug: { ...sparkPlug, source } })}
            />
          )}
        </li>
        <li class="line figure-line">
          <SelectField
            name="Reference cylinder"
            id="figure-reference"
            value={referenceCylinder === null ? '' : String(referenceCylinder.cylinder)}
            options={[
              { value: '', words: 'not looked up' },
              ...Array.from({ length: cylinders }, (_, at) => ({
                value: String(at + 1),
                words: String(at + 1),
              })),
            ]}
            onChoose={(value) =>
              onChange({
                referenceCylinder:
                  value === '' ? null : { cylinder: Number(value), source: referenceCylinder?.source ?? '' },
              })
            }
          />
          {referenceCylinder !== null && (
            <SourceField
              id="figure-reference-source"
              source={referenceCylinder.source}
              onChange={(source) => onChange({ referenceCylinder: { ...referenceCylinder, source } })}
            />
          )}
        </li>
        {figures.others.map((other, at) => (
          <li class="line figure-line" key={at}>
            {(['name', 'value', 'unit', 'source'] as const).map((key) => (
              <SourceField
                key={key}
                name={OTHER_WORDS[key]}
                id={`figure-other-${at}-${key}`}
                source={other[key]}
                onChange={(text) =>
                  onChange({
                    others: figures.others.map((one, line) => (line === at ? { ...one, [key]: text } : one)),
                  })
                }
              />
            ))}
            <button
              type="button"
              class="plain"
              onClick={() => onChange({ others: figures.others.filter((_, line) => line !== at) })}
            >
              Remove
            </button>
          </li>
        ))}
      </ul>
      <button
        type="button"
        class="start"
        onClick={() =>
          onChange({ others: [...figures.others, { name: '', value: '', unit: '', source: '' }] })
        }
      >
        Another figure
      </button>
    </section>
  );
}

const OTHER_WORDS = { name: 'What', value: 'Figure', unit: 'Unit', source: 'Manual, page' } as const;

interface ClearanceProps {
  readonly name: string;
  readonly id: string;
  readonly figure: ClearanceFigure | null;
  readonly onChange: (figure: ClearanceFigure | null) => void;
}

/** From the smaller to the larger figure, both allowed. Until both are there the one that is typed stands for both. */
function Clearance({ name, id, figure, onChange }: ClearanceProps) {
  const change = (part: Partial<ClearanceFigure>) =>
    onChange({ low: '', high: '', unit: 'mm', source: '', ...figure, ...part });
  return (
    <li class="line figure-line">
      <DecimalField
        name={`${name}, from`}
        id={`${id}-low`}
        value={figure?.low ?? null}
        onChange={(low) => (low === null ? onChange(null) : change({ low, high: figure?.high ?? low }))}
      />
      {figure !== null && (
        <>
          <DecimalField
            name="to"
            id={`${id}-high`}
            value={figure.high}
            onChange={(high) => change({ high: high ?? figure.low })}
          />
          <SelectField
            name="Unit"
            id={`${id}-unit`}
            value={figure.unit}
            options={CLEARANCE_UNITS}
            onChoose={(unit) => change({ unit })}
          />
          <SourceField id={`${id}-source`} source={figure.source} onChange={(source) => change({ source })} />
        </>
      )}
    </li>
  );
}
