import { useState } from 'preact/hooks';
import type { CalibratedBoard, CalibrationDeskState, Gauge } from '../../../server/contract/calibration.ts';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { pressureText } from '../../units/figure-text.ts';
import { Choice } from '../setup/choice.tsx';
import { PressureField } from '../setup/pressure-field.tsx';
import { discard, finish, startSpan, takeReading } from './calibration-state.ts';
import { NowRow } from './now-row.tsx';
import { RefusalNote } from './refusal-note.tsx';

interface SpanPanelProps {
  readonly board: CalibratedBoard;
  readonly desk: CalibrationDeskState;
}

/** The whole scale against a gauge whose own uncertainty is stated. */
export function SpanPanel({ board, desk }: SpanPanelProps) {
  const [gauge, setGauge] = useState<Gauge>({
    shows: 'vacuum',
    fromKpa: 0,
    toKpa: 100,
    statedKpa: 1,
    stated: 'limits',
  });
  const waits = desk.task === 'span' && (desk.phase === 'waiting' || desk.phase === 'recording');
  const busy = desk.phase === 'recording' || desk.phase === 'waiting';
  return (
    <section class="panel" aria-labelledby="span-name">
      <h2 class="panel-name" id="span-name">
        Span against a gauge
      </h2>
      <p>
        Only for absolute figures; balancing does not need it. The gauge and all hoses hang on one source. A
        gauge of vacuum wants a zero just before.
      </p>
      {waits ? (
        <Readings desk={desk} />
      ) : (
        <>
          <Choice
            name="The gauge shows"
            group="gauge-shows"
            disabled={busy}
            options={[
              { value: 'vacuum' as const, words: 'Vacuum' },
              { value: 'absolute' as const, words: 'Absolute pressure' },
            ]}
            value={gauge.shows}
            onChoose={(shows) => setGauge({ ...gauge, shows })}
          />
          <div class="field-pair">
            <PressureField
              name="End of its scale"
              id="gauge-end"
              kpa={gauge.toKpa}
              leastKpa={1}
              mostKpa={500}
              onChange={(toKpa) => setGauge({ ...gauge, toKpa })}
            />
            <PressureField
              name="Stated, ±"
              id="gauge-stated"
              kpa={gauge.statedKpa}
              leastKpa={0.001}
              mostKpa={50}
              onChange={(statedKpa) => setGauge({ ...gauge, statedKpa })}
            />
          </div>
          <Choice
            name="What is stated"
            group="gauge-stated-kind"
            disabled={busy}
            options={[
              { value: 'limits' as const, words: 'Limits of error' },
              { value: 'expanded' as const, words: 'Certificate, k = 2' },
              { value: 'standard' as const, words: 'Standard uncertainty' },
            ]}
            value={gauge.stated}
            onChoose={(stated) => setGauge({ ...gauge, stated })}
          />
          <div class="button-row">
            <button
              type="button"
              data-testid="span-start"
              disabled={busy}
              onClick={() =>
                startSpan(
                  board.channels.map(({ channel }) => channel),
                  gauge,
                )
              }
            >
              Start comparing
            </button>
          </div>
        </>
      )}
      <RefusalNote desk={desk} kind="span" />
    </section>
  );
}

function Readings({ desk }: { desk: CalibrationDeskState }) {
  const unit = chosenUnit.value;
  const [shownKpa, setShownKpa] = useState(40);
  const [readToKpa, setReadToKpa] = useState(0.2);
  const reading = desk.phase === 'recording';
  const decimals = unit.maxDecimals;
  return (
    <>
      <NowRow nowKpa={desk.nowKpa} />
      <div class="field-pair">
        <PressureField
          name="The gauge shows"
          id="gauge-shown"
          kpa={shownKpa}
          leastKpa={0}
          mostKpa={500}
          onChange={setShownKpa}
        />
        <PressureField
          name="Read to, ±"
          id="gauge-read-to"
          kpa={readToKpa}
          leastKpa={0.001}
          mostKpa={10}
          onChange={setReadToKpa}
        />
      </div>
      <ol class="step-list">
        {desk.readings.map(({ referenceKpa, readingKpa }, at) => (
          <li key={at}>
            gauge {pressureText(referenceKpa, decimals, unit)}, sensors{' '}
            {pressureText(readingKpa, decimals, unit)} {unit.id} absolute
          </li>
        ))}
      </ol>
      {reading && <p role="status">Hold still: {desk.recordedS.toFixed(1)} of 2 s.</p>}
      <div class="button-row">
        <button
          type="button"
          data-testid="span-reading"
          disabled={reading}
          onClick={() => takeReading({ shownKpa, readToKpa })}
        >
          Take this reading
        </button>
        <button
          type="button"
          data-testid="span-finish"
          disabled={reading || desk.readings.length === 0}
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
