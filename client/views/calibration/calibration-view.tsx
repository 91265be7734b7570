import '../../styles/calibration.css';
import { useEffect } from 'preact/hooks';
import { source } from '../../link/latest.ts';
import { BoardPanel } from './board-panel.tsx';
import { calibration, followCalibration } from './calibration-state.ts';
import { HistoryPanel } from './history-panel.tsx';
import { MatchingPanel } from './matching-panel.tsx';
import { ProposalPanel } from './proposal-panel.tsx';
import { RehearsalPanel } from './rehearsal-panel.tsx';
import { SensorsPanel } from './sensors-panel.tsx';
import { SpanPanel } from './span-panel.tsx';
import { ZeroPanel } from './zero-panel.tsx';

/** Zero, matching and span of the sensors, step by step, and what was found before. */
export function CalibrationView() {
  useEffect(() => followCalibration(), []);
  const state = calibration.value;
  const board = state?.board ?? null;
  return (
    <main class="page calibration" id="content">
      <h1>Calibration</h1>
      {state === null ? (
        <p>Waiting for the program.</p>
      ) : board === null ? (
        <p>No samples come in. Connect the board: its sensors are calibrated by what they send.</p>
      ) : (
        <>
          {source.value?.practice && <RehearsalPanel board={board} />}
          <div class="page-columns">
            <div>
              {state.desk.phase === 'proposed' ? (
                <ProposalPanel board={board} desk={state.desk} />
              ) : (
                !board.exact && (
                  <>
                    <MatchingPanel key={`matching ${board.boardId}`} board={board} state={state} />
                    <ZeroPanel board={board} desk={state.desk} />
                    <SpanPanel key={`span ${board.boardId}`} board={board} desk={state.desk} />
                  </>
                )
              )}
            </div>
            <div>
              <BoardPanel board={board} sentence={state.sentence} />
              {!board.exact && (
                <SensorsPanel key={`sensors ${board.boardId}`} board={board} types={state.sensorTypes} />
              )}
            </div>
          </div>
        </>
      )}
      <HistoryPanel />
    </main>
  );
}
