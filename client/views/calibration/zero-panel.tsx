import { useState } from 'preact/hooks';
import type {
  AirPressure,
  CalibratedBoard,
  CalibrationDeskState,
} from '../../../server/contract/calibration.ts';
import { setup } from '../../link/latest.ts';
import { Choice } from '../setup/choice.tsx';
import { NumberField } from '../setup/number-field.tsx';
import { PressureField } from '../setup/pressure-field.tsx';
import { discard, startZero } from './calibration-state.ts';
import { NowRow } from './now-row.tsx';
import { RefusalNote } from './refusal-note.tsx';

type From = AirPressure['from'];

/** With the key off and the hoses open every channel reads the air pressure. */
export function ZeroPanel({ board, desk }: { board: CalibratedBoard; desk: CalibrationDeskState }) {
  const [chosen, setFrom] = useState<From | null>(null);
  const [kpa, setKpa] = useState(setup.value?.barometricKpa ?? 101.3);
  const [limitsKpa, setLimitsKpa] = useState(0.2);
  const [altitudeM, setAltitudeM] = useState(0);
  const [limitsM, setLimitsM] = useState(20);
  const from = chosen ?? (board.barometerKpa === null ? 'entered' : 'board');
  const recording = desk.task === 'zero' && desk.phase === 'recording';
  const busy = desk.phase === 'recording' || desk.phase === 'waiting';
  const air: AirPressure =
    from === 'board'
      ? { from }
      : from === 'entered'
        ? { from, kpa, limitsKpa }
        : { from, altitudeM, limitsM };
  return (
    <section class="panel" aria-labelledby="zero-name">
      <h2 class="panel-name" id="zero-name">
        Zero to the air
      </h2>
      <p>Stop the engine, key off, hoses open to the air. It takes three seconds.</p>
      <Choice
        name="Air pressure of this place"
        group="air-from"
        disabled={busy}
        options={[
          ...(board.barometerKpa === null ? [] : [{ value: 'board' as From, words: 'Board’s barometer' }]),
          { value: 'entered' as From, words: 'Entered' },
          { value: 'altitude' as From, words: 'By altitude' },
        ]}
        value={from}
        onChoose={setFrom}
      />
      {from === 'entered' && (
        <div class="field-pair">
          <PressureField
            name="Air pressure here"
            note="Of the place itself, not reduced to sea level."
            id="zero-air"
            kpa={kpa}
            leastKpa={50}
            mostKpa={115}
            onChange={setKpa}
          />
          <PressureField
            name="Off by at most, ±"
            id="zero-limits"
            kpa={limitsKpa}
            leastKpa={0.01}
            mostKpa={10}
            onChange={setLimitsKpa}
          />
        </div>
      )}
      {from === 'altitude' && (
        <>
          <div class="field-pair">
            <NumberField
              name="Altitude, m"
              id="zero-altitude"
              value={altitudeM}
              least={-500}
              most={6000}
              required
              onChange={(value) => setAltitudeM(value ?? 0)}
            />
            <NumberField
              name="Off by at most, ± m"
              id="zero-altitude-limits"
              value={limitsM}
              least={0}
              most={1000}
              required
              onChange={(value) => setLimitsM(value ?? 0)}
            />
          </div>
          <p class="field-note">
            By the standard atmosphere, ISO 2533. The weather moves the air pressure by some kPa either way,
            and that is counted in.
          </p>
        </>
      )}
      <RefusalNote desk={desk} kind="zero" />
      {recording && (
        <>
          <NowRow nowKpa={desk.nowKpa} />
          <p role="status">Hold still: {desk.recordedS.toFixed(1)} of 3 s.</p>
        </>
      )}
      <div class="button-row">
        {recording ? (
          <button type="button" onClick={discard}>
            Cancel
          </button>
        ) : (
          <button type="button" data-testid="zero-start" disabled={busy} onClick={() => startZero(air)}>
            Zero now
          </button>
        )}
      </div>
    </section>
  );
}
