import type { PastCalibration } from '../../../server/contract/calibration.ts';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { signedPressureText } from '../../units/figure-text.ts';
import { startedWords } from '../captures/capture-words.ts';
import { WideTable } from '../wide-table.tsx';
import { askHistory, calibration, pastCalibrations, useAgain } from './calibration-state.ts';
import { dayWords, KIND_WORDS } from './calibration-words.ts';
import { DriftPicture } from './drift-picture.tsx';

/** What was found before, of this board and of others. */
export function HistoryPanel() {
  const history = pastCalibrations.value;
  if (history === null) return null;
  const inUse = calibration.value?.board?.boardId ?? null;
  const boards = [...new Set([...(inUse === null ? [] : [inUse]), ...history.boards])];
  return (
    <section class="panel" aria-labelledby="history-name">
      <h2 class="panel-name" id="history-name">
        Earlier calibrations
      </h2>
      {boards.length > 1 && (
        <label class="field">
          <span>Board</span>
          <select
            data-testid="history-board"
            value={history.boardId ?? ''}
            onChange={(event) => askHistory(event.currentTarget.value)}
          >
            {boards.map((id) => (
              <option key={id} value={id}>
                {id === inUse ? `${id} (connected)` : id}
              </option>
            ))}
          </select>
        </label>
      )}
      {history.calibrations.length === 0 ? (
        <p data-testid="history-empty">None of this board so far.</p>
      ) : (
        <>
          {history.calibrations.length > 1 && <DriftPicture calibrations={history.calibrations} />}
          <WideTable name="Earlier calibrations, table">
            <table data-testid="calibration-history">
              <thead>
                <tr>
                  <th scope="col">Kind</th>
                  <th scope="col">Made</th>
                  <th scope="col">By</th>
                  <th scope="col">Do again</th>
                  <th scope="col">Largest change, {chosenUnit.value.id}</th>
                  <th scope="col">Use</th>
                </tr>
              </thead>
              <tbody>
                {history.calibrations.map((one) => (
                  <Row key={one.id} one={one} />
                ))}
              </tbody>
            </table>
          </WideTable>
        </>
      )}
    </section>
  );
}

function Row({ one }: { one: PastCalibration }) {
  const unit = chosenUnit.value;
  const largest = [...one.drift].sort((a, b) => Math.abs(b.changeKpa) - Math.abs(a.changeKpa))[0];
  return (
    <tr>
      <th scope="row">
        {KIND_WORDS[one.kind]}
        {one.practice && <span class="cell-more"> practice</span>}
      </th>
      <td>{startedWords(one.madeAtMs, Date.now())}</td>
      <td>{one.technician ?? '–'}</td>
      <td>{one.expiresAtMs === null ? 'never' : dayWords(one.expiresAtMs)}</td>
      <td class="wrapping">
        {largest === undefined
          ? '–'
          : `${signedPressureText(largest.changeKpa, unit.maxDecimals, unit)} on channel ${largest.channel}${
              largest.significant ? ', more than its uncertainty' : ''
            }`}
      </td>
      <td>
        {one.inForce ? (
          'in use'
        ) : (
          <button
            type="button"
            aria-label={`Use the ${KIND_WORDS[one.kind]} of ${dayWords(one.madeAtMs)} again`}
            onClick={() => useAgain(one.id)}
          >
            Use again
          </button>
        )}
      </td>
    </tr>
  );
}
