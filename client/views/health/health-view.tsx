import { signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { BoardHealth } from '../../../server/contract/board-health.ts';
import { CylinderPlate } from '../../charts/cylinder-plate.tsx';
import { call } from '../../link/api.ts';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { figureText, pressureText, UNKNOWN } from '../../units/figure-text.ts';
import { shownCounters } from '../counter-words.ts';
import { Fact } from '../fact.tsx';
import { WideTable } from '../wide-table.tsx';
import { momentWords, PHASE_WORDS } from './health-words.ts';

const health = signal<BoardHealth | null>(null);
const EVERY_MS = 1_000;
const LINES_SHOWN = 20;

/** What the board and its cable do: where to look when a figure is in doubt. */
export function HealthView() {
  useEffect(() => follow(), []);
  const state = health.value;
  return (
    <main class="page" id="content">
      <h1>Board and cable</h1>
      {state === null ? (
        <p>Waiting for the program.</p>
      ) : (
        <div class="page-columns">
          <div>
            <NoisePanel state={state} />
            <CounterPanel state={state} />
          </div>
          <div>
            <BoardFacts state={state} />
            <LinkPanel state={state} />
          </div>
        </div>
      )}
    </main>
  );
}

function follow(): () => void {
  let ended = false;
  let timer: ReturnType<typeof setTimeout> | undefined;
  const ask = async () => {
    const answer = await call<BoardHealth>('GET', 'api/board-health');
    if (ended) return;
    if (answer.ok) health.value = answer.value;
    timer = setTimeout(ask, EVERY_MS);
  };
  void ask();
  return () => {
    ended = true;
    clearTimeout(timer);
  };
}

function NoisePanel({ state }: { state: BoardHealth }) {
  const unit = chosenUnit.value;
  return (
    <section class="panel" aria-labelledby="noise-name">
      <h2 class="panel-name" id="noise-name">
        Noise of the channels
      </h2>
      <WideTable name="Noise of the channels, table">
        <table>
          <thead>
            <tr>
              <th scope="col">Channel</th>
              <th scope="col">Sensor</th>
              <th scope="col">Noise, {unit.id}</th>
              <th scope="col">Now, {unit.id} absolute</th>
            </tr>
          </thead>
          <tbody>
            {state.channels.map(({ channel, sensorType, noiseKpa, newestKpa }) => (
              <tr key={channel}>
                <th scope="row">
                  <CylinderPlate cyl={channel - 1} />
                </th>
                <td>{sensorType}</td>
                <td data-testid={`noise-${channel}`}>{pressureText(noiseKpa, unit.maxDecimals, unit)}</td>
                <td>{pressureText(newestKpa, Math.max(0, unit.maxDecimals - 1), unit)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </WideTable>
      <p class="field-note">
        One standard deviation of a single sample. It is surest with the engine stopped; a running one adds a
        little. A channel much noisier than its neighbours has a loose ground, a bad supply, or its cable
        beside the ignition.
      </p>
    </section>
  );
}

function BoardFacts({ state }: { state: BoardHealth }) {
  const unit = chosenUnit.value;
  const { samples, lostSamples } = state;
  const lostPercent = samples + lostSamples === 0 ? null : (100 * lostSamples) / (samples + lostSamples);
  return (
    <section class="panel" aria-labelledby="board-facts-name">
      <h2 class="panel-name" id="board-facts-name">
        Board
      </h2>
      <dl class="facts">
        <Fact name="Board" value={state.boardId ?? UNKNOWN} />
        <Fact name="Firmware" value={state.firmwareVersion ?? UNKNOWN} />
        <Fact name="Samples per second, as the board says" value={figureText(state.sampleRateHz, 0)} />
        <Fact name="Arriving by this computer’s clock" value={figureText(state.arrivingHz, 1)} />
        <Fact name="Jitter from sample to sample, µs" value={figureText(state.jitterUs, 1)} />
        <Fact name="Samples since the start" value={String(samples)} />
        <Fact name="Lost on the way" value={`${lostSamples} (${figureText(lostPercent, 3)} %)`} />
        <Fact name="Temperature, °C" value={figureText(state.temperatureCelsius, 1)} />
        <Fact
          name={`Its barometer, ${unit.id}`}
          value={pressureText(state.barometerKpa, unit.maxDecimals, unit)}
        />
      </dl>
    </section>
  );
}

function CounterPanel({ state }: { state: BoardHealth }) {
  const counters = shownCounters(state.counters);
  return (
    <section class="panel" aria-labelledby="counters-name">
      <h2 class="panel-name" id="counters-name">
        Counted since the start
      </h2>
      {counters.length === 0 ? (
        <p>Every line from the board was good so far.</p>
      ) : (
        <dl class="facts" data-testid="health-counters">
          {counters.map(({ words, count }) => (
            <Fact key={words} name={words} value={String(count)} />
          ))}
        </dl>
      )}
    </section>
  );
}

function LinkPanel({ state }: { state: BoardHealth }) {
  return (
    <section class="panel" aria-labelledby="link-name">
      <h2 class="panel-name" id="link-name">
        What the link went through
      </h2>
      <ol class="link-history" data-testid="link-history">
        {state.linkHistory.slice(0, LINES_SHOWN).map(({ atMs, phase, sentence }) => (
          <li key={`${atMs} ${phase}`}>
            <strong>{momentWords(atMs)}</strong> {PHASE_WORDS[phase] ?? phase}
            {sentence === '' ? '' : `: ${sentence}`}
          </li>
        ))}
      </ol>
    </section>
  );
}
