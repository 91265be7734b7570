import { signal } from '@preact/signals';
import type { CaptureSummary } from '../../../server/contract/captures.ts';
import { api } from '../../link/api.ts';
import { captures } from '../../link/latest.ts';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { decimalsFor } from '../../units/decimals.ts';
import { figureText, plusMinusPressure, pressureText } from '../../units/figure-text.ts';
import { fromKpa } from '../../units/pressure-unit.ts';
import { WideTable } from '../wide-table.tsx';
import { CAPTURE_WORDS, durationWords, STATE_WORDS, startedWords } from './capture-words.ts';
import { proposedPair } from './compare.ts';
import { Comparison } from './comparison-table.tsx';
import { WorkedOut } from './worked-out.tsx';

/** What the person picked; null stands for the newest of its kind. */
const pickedBefore = signal<string | null>(null);
const pickedAfter = signal<string | null>(null);

/** All captures, and two of them side by side. */
export function CapturesView() {
  const list = captures.value;
  const pair = proposedPair(list, pickedBefore.value, pickedAfter.value);
  return (
    <main class="page" id="content">
      <h1>Captures</h1>
      {list.length === 0 ? (
        <p>No captures yet. Start one on the bench: one before you turn anything, one after.</p>
      ) : (
        <>
          <Comparison before={pair.before} after={pair.after} />
          <section class="panel" aria-labelledby="all-captures">
            <h2 class="panel-name" id="all-captures">
              All captures
            </h2>
            <WideTable name="All captures, figures">
              <table class="captures-table" data-testid="capture-list">
                <thead>
                  <tr>
                    <th scope="col">Kind</th>
                    <th scope="col">Started</th>
                    <th scope="col">Lasted</th>
                    <th scope="col">Gap, {chosenUnit.value.id}</th>
                    <th scope="col">Idle, r/min</th>
                    <th scope="col">Roughness</th>
                    <th scope="col">Compare as</th>
                    <th scope="col">Samples</th>
                    <th scope="col">Worked out by</th>
                  </tr>
                </thead>
                <tbody>
                  {list.map((capture) => (
                    <Row key={capture.id} capture={capture} pair={pair} />
                  ))}
                </tbody>
              </table>
            </WideTable>
          </section>
        </>
      )}
    </main>
  );
}

function Row({ capture, pair }: { capture: CaptureSummary; pair: ReturnType<typeof proposedPair> }) {
  const unit = chosenUnit.value;
  const {
    id,
    label,
    state,
    practice,
    startedAtMs,
    durationS,
    spreadKpa,
    spreadExpandedKpa,
    idleRpm,
    roughnessScore,
  } = capture;
  const decimals = decimalsFor(
    spreadExpandedKpa === null ? null : fromKpa(spreadExpandedKpa, unit),
    unit.maxDecimals,
  );
  const marks = [STATE_WORDS[state], practice ? 'practice' : ''].filter((word) => word !== '').join(', ');
  return (
    <tr>
      <th scope="row">
        {CAPTURE_WORDS[label]}
        {marks !== '' && <span class="cell-more"> {marks}</span>}
      </th>
      <td>{startedWords(startedAtMs, Date.now())}</td>
      <td>{durationWords(durationS)}</td>
      <td>
        {pressureText(spreadKpa, decimals, unit)}
        {spreadKpa !== null &&
          spreadExpandedKpa !== null &&
          ` ${plusMinusPressure(spreadExpandedKpa, decimals, unit)}`}
      </td>
      <td>{figureText(idleRpm, 0)}</td>
      <td>{figureText(roughnessScore, 0)}</td>
      <td>
        <div class="button-row">
          <button
            type="button"
            aria-pressed={pair.before?.id === id}
            onClick={() => (pickedBefore.value = id)}
          >
            before
          </button>
          <button type="button" aria-pressed={pair.after?.id === id} onClick={() => (pickedAfter.value = id)}>
            after
          </button>
        </div>
      </td>
      <td>
        {state !== 'recording' && (
          <a class="file-link" href={api.samplesAddress(id)} download>
            CSV
          </a>
        )}
      </td>
      <td class="wrapping">
        <WorkedOut capture={capture} />
      </td>
    </tr>
  );
}
