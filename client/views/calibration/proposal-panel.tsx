import { useState } from 'preact/hooks';
import type { CalibratedBoard, CalibrationDeskState } from '../../../server/contract/calibration.ts';
import { CylinderPlate } from '../../charts/cylinder-plate.tsx';
import { runningCapture } from '../../link/latest.ts';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { Choice } from '../setup/choice.tsx';
import { WideTable } from '../wide-table.tsx';
import { plusMinus } from './board-panel.tsx';
import { discard, save } from './calibration-state.ts';
import { KIND_WORDS } from './calibration-words.ts';
import { ResidualPicture } from './residual-picture.tsx';

const MONTHS = [3, 6, 12, 24] as const;
const NEVER = 0;

/** What a step has found, to be looked at before it counts. */
export function ProposalPanel({ board, desk }: { board: CalibratedBoard; desk: CalibrationDeskState }) {
  const [technician, setTechnician] = useState('');
  const [months, setMonths] = useState(12);
  const { proposal, task } = desk;
  if (proposal === null || task === null) return null;
  const locked = runningCapture.value !== null;
  return (
    <section class="panel" aria-labelledby="proposal-name" data-testid="calibration-proposal">
      <h2 class="panel-name" id="proposal-name">
        {KIND_WORDS[task]}: found
      </h2>
      <p>Nothing has changed yet. Look at it, then save or discard it.</p>
      <WideTable name="How sure it was and will be">
        <table>
          <thead>
            <tr>
              <th scope="col">Channel</th>
              <th scope="col">Against the others, was</th>
              <th scope="col">will be, {chosenUnit.value.id}</th>
              <th scope="col">By itself, was</th>
              <th scope="col">will be, {chosenUnit.value.id}</th>
            </tr>
          </thead>
          <tbody>
            {board.channels.map(({ channel }, at) => (
              <tr key={channel}>
                <th scope="row">
                  <CylinderPlate cyl={channel - 1} />
                </th>
                <td>{plusMinus(proposal.differenceBeforeKpa[at] ?? null)}</td>
                <td>
                  <strong>{plusMinus(proposal.differenceAfterKpa[at] ?? null)}</strong>
                </td>
                <td>{plusMinus(proposal.readingBeforeKpa[at] ?? null)}</td>
                <td>{plusMinus(proposal.readingAfterKpa[at] ?? null)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </WideTable>
      {proposal.residuals.length > 0 && (
        <ResidualPicture residuals={proposal.residuals} ofGauge={task === 'span'} />
      )}
      <label class="field">
        <span>Done by</span>
        <input
          type="text"
          maxLength={200}
          autoComplete="name"
          data-testid="calibration-technician"
          value={technician}
          onInput={(event) => setTechnician(event.currentTarget.value)}
        />
      </label>
      <Choice
        name="Remind me after"
        group="remind-after"
        options={[
          ...MONTHS.map((value) => ({ value: value as number, words: `${value} months` })),
          { value: NEVER, words: 'Never' },
        ]}
        value={months}
        onChoose={setMonths}
      />
      {locked && <p class="panel-note">A capture is running: stop it, then save.</p>}
      <div class="button-row">
        <button
          type="button"
          class="main-button"
          data-testid="calibration-save"
          disabled={locked}
          onClick={() =>
            save({
              technician: technician.trim() || null,
              remindAfterMonths: months === NEVER ? null : months,
            })
          }
        >
          Save for board {board.boardId}
        </button>
        <button type="button" data-testid="calibration-discard" onClick={discard}>
          Discard
        </button>
      </div>
    </section>
  );
}
