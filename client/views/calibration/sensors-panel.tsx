import { useState } from 'preact/hooks';
import type { CalibratedBoard, SensorChoice } from '../../../server/contract/calibration.ts';
import { NumberField } from '../setup/number-field.tsx';
import { setSensors } from './calibration-state.ts';

interface SensorsPanelProps {
  readonly board: CalibratedBoard;
  readonly types: readonly string[];
}

interface Draft {
  readonly channel: number;
  readonly type: SensorChoice;
  readonly serial: string;
}

/** A sensor of which nothing else is known, to begin with: 0.5 to 4.5 V of a supply of 5 V. */
const OWN_START = {
  kind: 'own',
  name: 'OWN-1',
  measures: 'absolute',
  low: { supplyShare: 0.1, kpa: 20 },
  high: { supplyShare: 0.9, kpa: 105 },
  errorBandKpa: 1.5,
} as const;

/** Which sensor hangs on which channel, where the board does not say, and serial numbers. */
export function SensorsPanel({ board, types }: SensorsPanelProps) {
  const [drafts, setDrafts] = useState<readonly Draft[]>(
    board.channels.map(({ channel, choice, serial }) => ({ channel, type: choice, serial: serial ?? '' })),
  );
  const unknown = board.channels.some(({ sensorType }) => sensorType === null);
  const [open, setOpen] = useState(unknown);
  const put = (draft: Draft) =>
    setDrafts(drafts.map((other) => (other.channel === draft.channel ? draft : other)));
  const keep = () =>
    setSensors({
      boardId: board.boardId,
      sensors: drafts.map(({ channel, type, serial }) => ({ channel, type, serial: serial.trim() || null })),
    });
  return (
    <section class="panel" aria-labelledby="sensors-name">
      <h2 class="panel-name" id="sensors-name">
        Sensors
      </h2>
      {unknown && <p>The board does not say which sensor is on every channel: choose it here.</p>}
      <div class="button-row">
        <button type="button" aria-expanded={open} data-testid="sensors-open" onClick={() => setOpen(!open)}>
          {open ? 'Close' : 'Types and serial numbers'}
        </button>
      </div>
      {open && (
        <>
          {drafts.map((draft) => (
            <OneSensor
              key={draft.channel}
              draft={draft}
              boardSays={board.channels[draft.channel - 1]!.boardSays}
              types={types}
              onChange={put}
            />
          ))}
          <p class="field-note">
            A calibration holds for its own sensors: after a change of type or serial number it is not used
            any more.
          </p>
          <div class="button-row">
            <button type="button" class="main-button" data-testid="sensors-save" onClick={keep}>
              Save sensors
            </button>
          </div>
        </>
      )}
    </section>
  );
}

interface OneSensorProps {
  readonly draft: Draft;
  readonly boardSays: string;
  readonly types: readonly string[];
  readonly onChange: (draft: Draft) => void;
}

function OneSensor({ draft, boardSays, types, onChange }: OneSensorProps) {
  const { channel, type } = draft;
  const chosen = type.kind === 'known' ? type.name : type.kind;
  const choose = (value: string) =>
    onChange({
      ...draft,
      type:
        value === 'board' ? { kind: 'board' } : value === 'own' ? OWN_START : { kind: 'known', name: value },
    });
  return (
    <fieldset class="choice one-sensor">
      <legend>Channel {channel}</legend>
      <div class="field-pair">
        <label class="field">
          <span>Type</span>
          <select
            data-testid={`sensor-${channel}-type`}
            value={chosen}
            onChange={(event) => choose(event.currentTarget.value)}
          >
            <option value="board">As the board says: {boardSays}</option>
            {types.map((name) => (
              <option key={name} value={name}>
                {name}
              </option>
            ))}
            <option value="own">Own, from its data sheet</option>
          </select>
        </label>
        <label class="field">
          <span>Serial number</span>
          <input
            type="text"
            maxLength={200}
            autoComplete="off"
            value={draft.serial}
            onInput={(event) => onChange({ ...draft, serial: event.currentTarget.value })}
          />
        </label>
      </div>
      {type.kind === 'own' && (
        <OwnSensor channel={channel} type={type} onChange={(own) => onChange({ ...draft, type: own })} />
      )}
    </fieldset>
  );
}

type Own = Extract<SensorChoice, { kind: 'own' }>;

/** A straight transfer function from two points of the data sheet. */
function OwnSensor({
  channel,
  type,
  onChange,
}: {
  channel: number;
  type: Own;
  onChange: (own: Own) => void;
}) {
  const number = (
    name: string,
    key: string,
    value: number,
    decimals: number,
    [least, most]: readonly [number, number],
    put: (value: number) => Own,
  ) => (
    <NumberField
      name={name}
      id={`own-${channel}-${key}`}
      value={value}
      decimals={decimals}
      least={least}
      most={most}
      required
      onChange={(entered) => {
        if (entered !== null) onChange(put(entered));
      }}
    />
  );
  const { low, high } = type;
  const share = (value: number) => value / 100;
  return (
    <>
      <div class="field-pair">
        <label class="field">
          <span>Name</span>
          <input
            type="text"
            maxLength={16}
            autoComplete="off"
            value={type.name}
            onInput={(event) => onChange({ ...type, name: event.currentTarget.value })}
          />
        </label>
        <label class="field">
          <span>Measures from</span>
          <select
            value={type.measures}
            onChange={(event) =>
              onChange({ ...type, measures: event.currentTarget.value === 'gauge' ? 'gauge' : 'absolute' })
            }
          >
            <option value="absolute">a perfect vacuum</option>
            <option value="gauge">the air around it</option>
          </select>
        </label>
      </div>
      <div class="field-pair">
        {number('Output 1, % of supply', 'low-share', 100 * low.supplyShare, 2, [0, 100], (value) => ({
          ...type,
          low: { ...low, supplyShare: share(value) },
        }))}
        {number('at, kPa', 'low-kpa', low.kpa, 2, [-1000, 1000], (kpa) => ({
          ...type,
          low: { ...low, kpa },
        }))}
      </div>
      <div class="field-pair">
        {number('Output 2, % of supply', 'high-share', 100 * high.supplyShare, 2, [0, 100], (value) => ({
          ...type,
          high: { ...high, supplyShare: share(value) },
        }))}
        {number('at, kPa', 'high-kpa', high.kpa, 2, [-1000, 1000], (kpa) => ({
          ...type,
          high: { ...high, kpa },
        }))}
      </div>
      {number('Largest error, ± kPa', 'band', type.errorBandKpa, 3, [0.001, 1000], (errorBandKpa) => ({
        ...type,
        errorBandKpa,
      }))}
    </>
  );
}
