import { useState } from 'preact/hooks';
import type { CalibratedBoard, CalibrationState } from '../../../server/contract/calibration.ts';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { pressureText } from '../../units/figure-text.ts';
import { discard, finish, startMatching } from './calibration-state.ts';
import { ChannelChoice } from './channel-choice.tsx';
import { NowRow } from './now-row.tsx';
import { RefusalNote } from './refusal-note.tsx';

/** All hoses on one source, vacuum pulled by hand in steps that are found by themselves. */
export function MatchingPanel({ board, state }: { board: CalibratedBoard; state: CalibrationState }) {
  const { desk } = state;
  const [channels, setChannels] = useState(board.channels.map(({ channel }) => channel));
  const recording = desk.task === 'matching' && desk.phase === 'recording';
  const busy = desk.phase === 'recording' || desk.phase === 'waiting';
  return (
    <section class="panel" aria-labelledby="matching-name">
      <h2 class="panel-name" id="matching-name">
        Match the sensors
      </h2>
      <p>
        The most useful of the three: a difference between two cylinders is only as good as the agreement of
        their sensors. Join all hoses to one hand pump with T-pieces. Pull vacuum in {state.leastSteps} or
        more steps, from air pressure down past the idle, and hold each for three seconds.
      </p>
      <ChannelChoice board={board} chosen={channels} disabled={busy} onChange={setChannels} />
      <RefusalNote desk={desk} kind="matching" />
      {recording ? (
        <Progress state={state} />
      ) : (
        <div class="button-row">
          <button
            type="button"
            class="main-button"
            data-testid="matching-start"
            disabled={busy || channels.length < 2}
            onClick={() => startMatching(channels)}
          >
            Start matching
          </button>
        </div>
      )}
    </section>
  );
}

function Progress({ state }: { state: CalibrationState }) {
  const { desk, leastSteps, leastReachKpa } = state;
  const unit = chosenUnit.value;
  const enough = desk.steps.length >= leastSteps && desk.reachKpa >= leastReachKpa;
  const decimals = Math.max(0, unit.maxDecimals - 1);
  return (
    <>
      <NowRow nowKpa={desk.nowKpa} />
      <p role="status" data-testid="matching-steps">
        {desk.steps.length} of at least {leastSteps} steps, {pressureText(desk.reachKpa, decimals, unit)} of
        at least {pressureText(leastReachKpa, decimals, unit)} {unit.id} apart.{' '}
        {enough ? 'That is enough. More steps make it surer.' : 'Hold the next one.'}
      </p>
      <ol class="step-list">
        {desk.steps.map(({ lengthS, meanKpa }) => (
          <li key={meanKpa}>
            {pressureText(meanKpa, decimals, unit)} {unit.id}, held {lengthS.toFixed(0)} s
          </li>
        ))}
      </ol>
      <div class="button-row">
        <button
          type="button"
          class={enough ? 'main-button' : ''}
          data-testid="matching-finish"
          onClick={finish}
        >
          Finish
        </button>
        <button type="button" onClick={discard}>
          Cancel
        </button>
      </div>
    </>
  );
}
