import type { CalibratedBoard } from '../../../server/contract/calibration.ts';
import { CylinderPlate } from '../../charts/cylinder-plate.tsx';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { decimalsFor } from '../../units/decimals.ts';
import { plusMinusPressure, UNKNOWN } from '../../units/figure-text.ts';
import { fromKpa } from '../../units/pressure-unit.ts';
import { WideTable } from '../wide-table.tsx';
import { standingWords } from './calibration-words.ts';

/** An expanded uncertainty, as it stands behind a figure. */
export function plusMinus(kpa: number | null): string {
  const unit = chosenUnit.value;
  if (kpa === null) return UNKNOWN;
  return plusMinusPressure(kpa, decimalsFor(fromKpa(kpa, unit), unit.maxDecimals), unit);
}

/** How far the sensors of the board in use can be believed. */
export function BoardPanel({ board, sentence }: { board: CalibratedBoard; sentence: string }) {
  return (
    <section class="panel" aria-labelledby="board-calibration">
      <h2 class="panel-name" id="board-calibration">
        Board {board.boardId}
      </h2>
      {(board.kinds.length > 0 || sentence === '') && (
        <p data-testid="calibration-standing">{standingWords(board)}</p>
      )}
      {sentence !== '' && <p data-testid="calibration-sentence">{sentence}</p>}
      <WideTable name="How sure each channel is">
        <table>
          <thead>
            <tr>
              <th scope="col">Channel</th>
              <th scope="col">Sensor</th>
              <th scope="col">Against the others, {chosenUnit.value.id}</th>
              <th scope="col">By itself, {chosenUnit.value.id}</th>
            </tr>
          </thead>
          <tbody>
            {board.channels.map((channel) => (
              <tr key={channel.channel}>
                <th scope="row">
                  <CylinderPlate cyl={channel.channel - 1} />
                </th>
                <td>{channel.sensorType ?? 'not known'}</td>
                <td data-testid={`channel-${channel.channel}-difference`}>
                  {plusMinus(channel.differenceExpandedKpa)}
                </td>
                <td>{plusMinus(channel.readingExpandedKpa)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </WideTable>
      <p class="field-note">At a usual idle, with coverage factor 2: about 95 of 100 errors are smaller.</p>
    </section>
  );
}
