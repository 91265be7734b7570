import type { CaptureSummary } from '../../../server/contract/captures.ts';
import type { FigureComparison } from '../../../server/contract/jobs-views.ts';
import { api } from '../../link/api.ts';
import { captures as allCaptures, setup, takeAnswer } from '../../link/latest.ts';
import { tell } from '../../link/notice.ts';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { decimalsFor } from '../../units/decimals.ts';
import {
  figureText,
  plusMinusPressure,
  plusMinusText,
  pressureText,
  signedPressureText,
  signedText,
} from '../../units/figure-text.ts';
import { fromKpa } from '../../units/pressure-unit.ts';
import { CAPTURE_WORDS, durationWords, STATE_WORDS, startedWords } from '../captures/capture-words.ts';
import { openView } from '../view.ts';
import { WideTable } from '../wide-table.tsx';
import { BeforeAfterPicture } from './before-after-picture.tsx';
import type { JobSectionProps } from './job-page.tsx';
import { addresses, records } from './record-api.ts';
import { SourceField } from './source-field.tsx';
import { useFetched } from './use-fetched.ts';
import { useNewCaptures } from './use-new-captures.ts';

/** How many captures that are on no job are offered. */
const OFFERED = 6;

/** What was measured, and whether it is better now. */
export function CapturesSection({ job, again }: JobSectionProps) {
  useNewCaptures(again);
  const { visit, captures } = job;
  const onBench = setup.value?.benchVisitId === visit.id;
  const here = new Set(captures.map(({ id }) => id));
  const offered = allCaptures.value
    .filter(
      ({ id, state, practice }) => !here.has(id) && state !== 'recording' && practice === visit.practice,
    )
    .slice(0, OFFERED);
  const take = async (id: string) => {
    await tell(records.takeCapture(visit.id, id));
    again();
  };
  const note = async (conditions: string) => {
    const answer = await tell(api.changeSetup({ conditions }));
    if (answer.ok) takeAnswer({ type: 'event', event: 'setup', setup: answer.value });
  };
  const drop = async (id: string) => {
    await tell(records.dropCapture(visit.id, id));
    again();
  };
  return (
    <section class="panel" aria-labelledby="job-captures-name">
      <h2 class="panel-name" id="job-captures-name">
        Measured
      </h2>
      <p class="field-note">
        {onBench
          ? 'This job is on the bench: captures that are started now come here.'
          : 'Put this job on the bench, and captures come here by themselves.'}
      </p>
      {onBench && (
        <SourceField
          name="Engine and air, written down with each capture: warm, fan came on, 18 °C"
          id="conditions"
          source={setup.value?.conditions ?? ''}
          onChange={note}
        />
      )}
      {captures.length === 0 ? (
        <p>No captures yet.</p>
      ) : (
        <>
          <BeforeAfter visitId={visit.id} count={captures.map(({ id }) => id).join()} />
          <CaptureTable captures={captures} action="Take off" onAction={drop} />
        </>
      )}
      {onBench && (
        <button type="button" class="start" onClick={() => openView('bench')}>
          To the bench
        </button>
      )}
      {offered.length > 0 && (
        <details>
          <summary>Captures that are not on this job</summary>
          <CaptureTable captures={offered} action="Put on this job" onAction={take} />
        </details>
      )}
    </section>
  );
}

interface CaptureTableProps {
  readonly captures: readonly CaptureSummary[];
  readonly action: string;
  readonly onAction: (id: string) => void;
}

function CaptureTable({ captures, action, onAction }: CaptureTableProps) {
  const unit = chosenUnit.value;
  return (
    <WideTable name={`Captures: ${action}`}>
      <table>
        <thead>
          <tr>
            <th scope="col">Kind</th>
            <th scope="col">Started</th>
            <th scope="col">Lasted</th>
            <th scope="col">Gap, {unit.id}</th>
            <th scope="col">Idle, r/min</th>
            <th scope="col">Roughness</th>
            <th scope="col">Engine and air</th>
            <td />
          </tr>
        </thead>
        <tbody>
          {captures.map(({ id, label, state, startedAtMs, durationS, ...figures }) => (
            <tr key={id}>
              <th scope="row">
                {CAPTURE_WORDS[label]}
                {STATE_WORDS[state] !== '' && <span class="cell-more"> {STATE_WORDS[state]}</span>}
              </th>
              <td>{startedWords(startedAtMs, Date.now())}</td>
              <td>{durationWords(durationS)}</td>
              <td>
                {pressureText(figures.spreadKpa, decimalsOf(figures.spreadExpandedKpa), unit)}
                {figures.spreadExpandedKpa !== null &&
                  ` ${plusMinusPressure(figures.spreadExpandedKpa, decimalsOf(figures.spreadExpandedKpa), unit)}`}
              </td>
              <td>{figureText(figures.idleRpm, 0)}</td>
              <td>{figureText(figures.roughnessScore, 0)}</td>
              <td class="wrapping">{figures.conditions ?? ''}</td>
              <td>
                <button type="button" onClick={() => onAction(id)}>
                  {action}
                </button>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </WideTable>
  );
}

function BeforeAfter({ visitId, count }: { visitId: string; count: string }) {
  const found = useFetched(() => records.comparison(visitId), `${visitId} ${count}`);
  const comparison = found.value;
  if (comparison === null)
    return (
      <p class="field-note">
        {found.problem === null ? '' : `${found.problem.message} ${found.problem.whatToDo}`}
      </p>
    );
  const { before, after, spread, idleSpeed, roughness } = comparison;
  return (
    <div class="before-after">
      <p class="comparison-words" data-testid="job-comparison">
        {comparison.sentence}
      </p>
      <BeforeAfterPicture before={before} after={after} />
      <ul class="difference-list">
        <Difference name="Largest difference" figure={spread} pressure told />
        <Difference name="Idle speed, r/min" figure={idleSpeed} />
        <Difference name="Roughness, of 100" figure={roughness} />
      </ul>
      <div class="button-row">
        <a class="file-link" href={addresses.report(visitId)} target="_blank" rel="noreferrer">
          See it on the report
        </a>
        <a class="file-link" href={addresses.figures(visitId)} download>
          Figures as CSV
        </a>
      </div>
    </div>
  );
}

interface DifferenceProps {
  readonly name: string;
  readonly figure: FigureComparison;
  readonly pressure?: boolean;
  /** Its sentence stands above already. */
  readonly told?: boolean;
}

function Difference({ name, figure, pressure = false, told = false }: DifferenceProps) {
  const unit = chosenUnit.value;
  const { difference, differenceExpanded } = figure;
  const decimals = pressure ? decimalsOf(differenceExpanded) : 0;
  const words =
    difference === null
      ? ''
      : pressure
        ? `${signedPressureText(difference, decimals, unit)}${
            differenceExpanded === null ? '' : ` ${plusMinusPressure(differenceExpanded, decimals, unit)}`
          } ${unit.id}`
        : `${signedText(difference, 0)}${
            differenceExpanded === null ? '' : ` ${plusMinusText(differenceExpanded, 0)}`
          }`;
  return (
    <li>
      <b>{name}</b> {words} {!told && <span class="field-note">{figure.sentence}</span>}
    </li>
  );
}

function decimalsOf(expandedKpa: number | null): number {
  const unit = chosenUnit.value;
  return decimalsFor(expandedKpa === null ? null : fromKpa(expandedKpa, unit), unit.maxDecimals);
}
