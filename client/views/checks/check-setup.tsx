import { useState } from 'preact/hooks';
import type { CheckGuide, CheckStart } from '../../../server/contract/checks.ts';
import { setup, source } from '../../link/latest.ts';
import { startedWords } from '../captures/capture-words.ts';
import { NumberField } from '../setup/number-field.tsx';
import { choose, earlier, startCheck } from './checks-state.ts';
import { EarlierResults } from './earlier-results.tsx';

interface CheckSetupProps {
  readonly check: CheckGuide['checks'][number];
  /** It was just made. */
  readonly again: boolean;
}

const MOST_SPOTS = 8;

type Wish = Omit<CheckStart, 'kind' | 'acknowledged'>;

/** Cautions, steps and what the check has to know, before it starts. */
export function CheckSetup({ check, again }: CheckSetupProps) {
  const { kind, cautions, steps } = check;
  const [read, setRead] = useState(false);
  const [wish, setWish] = useState<Wish>({});
  const [spots, setSpots] = useState(spotNames(setup.value?.cylinders ?? 1));
  const change = (more: Wish): void => setWish({ ...wish, ...more });
  const names = spots.map((spot) => spot.trim()).filter((spot) => spot !== '');
  const doubled = new Set(names).size !== names.length;
  const live = source.value?.link === 'live';
  const ready =
    live && (read || cautions.length === 0) && (kind !== 'spot' || (names.length > 0 && !doubled));
  return (
    <>
      {cautions.length > 0 && (
        <section class="panel" aria-labelledby="check-cautions">
          <h2 class="panel-name" id="check-cautions">
            First
          </h2>
          <ul class="check-cautions">
            {cautions.map((caution) => (
              <li key={caution}>{caution}</li>
            ))}
          </ul>
          <label class="switch">
            <input
              type="checkbox"
              data-testid="cautions-read"
              checked={read}
              onChange={(event) => setRead(event.currentTarget.checked)}
            />
            <span>I have read this and done it</span>
          </label>
        </section>
      )}
      <section class="panel check-setup" aria-labelledby="check-steps">
        <h2 class="panel-name" id="check-steps">
          {again ? 'Do it again' : 'How to do it'}
        </h2>
        <ol class="check-steps">
          {steps.map((step) => (
            <li key={step}>{step}</li>
          ))}
        </ol>
        {kind === 'spot' && (
          <fieldset class="choice">
            <legend>Spots, at most eight; a name with a cylinder’s number tells them apart</legend>
            <div class="check-spots">
              {spots.map((spot, at) => (
                <input
                  key={at}
                  type="text"
                  maxLength={40}
                  aria-label={`Spot ${at + 1}`}
                  value={spot}
                  onInput={(event) =>
                    setSpots(spots.map((other, i) => (i === at ? event.currentTarget.value : other)))
                  }
                />
              ))}
              {spots.length < MOST_SPOTS && (
                <button type="button" onClick={() => setSpots([...spots, ''])}>
                  Another spot
                </button>
              )}
            </div>
            {doubled && <p class="field-note field-wrong">Two spots have the same name: change one.</p>}
          </fieldset>
        )}
        {kind === 'spot' && (
          <NumberField
            name="Presses of each spot"
            id="check-repeats"
            note="Three or more tell a leak from chance."
            value={wish.repeats ?? 3}
            least={1}
            most={6}
            required
            onChange={(value) => value !== null && change({ repeats: value })}
          />
        )}
        {kind === 'hold' && (
          <div class="check-fields">
            <NumberField
              name="Hose on the part"
              id="check-channel"
              value={wish.channel ?? 1}
              least={1}
              most={setup.value?.cylinders ?? 8}
              required
              onChange={(value) => value !== null && change({ channel: value })}
            />
            <NumberField
              name="May lose, kPa"
              id="check-limit"
              note="From the part’s service data."
              decimals={2}
              value={wish.limitKpa ?? 1}
              least={0.05}
              most={50}
              required
              onChange={(value) => value !== null && change({ limitKpa: value })}
            />
            <NumberField
              name="within, s"
              id="check-limit-time"
              value={wish.limitS ?? 60}
              least={5}
              most={480}
              required
              onChange={(value) => value !== null && change({ limitS: value })}
            />
            <NumberField
              name="Closed volume, ml"
              id="check-volume"
              note="Only for the size of the hole; may stay empty."
              decimals={1}
              value={wish.volumeMl ?? null}
              least={0.5}
              most={20_000}
              onChange={(value) => {
                const { volumeMl: _, ...rest } = wish;
                setWish(value === null ? rest : { ...rest, volumeMl: value });
              }}
            />
          </div>
        )}
        {kind === 'idle-quality' && (
          <NumberField
            name="Watch for, s"
            id="check-watch"
            value={wish.watchS ?? 60}
            least={10}
            most={300}
            required
            onChange={(value) => value !== null && change({ watchS: value })}
          />
        )}
        {kind === 'blip' && earlier.value.length > 0 && (
          <label class="field">
            <span>Compare with this machine’s earlier test</span>
            <select
              data-testid="earlier-blip"
              value={wish.earlierId ?? ''}
              onChange={(event) => {
                const { earlierId: _, ...rest } = wish;
                const id = event.currentTarget.value;
                setWish(id === '' ? rest : { ...rest, earlierId: id });
              }}
            >
              <option value="">with none, the cylinders with each other</option>
              {earlier.value
                .filter(({ blipShares }) => blipShares !== null)
                .map(({ id, madeAtMs, practice }) => (
                  <option key={id} value={id}>
                    {startedWords(madeAtMs, Date.now())}
                    {practice ? ', practice' : ''}
                  </option>
                ))}
            </select>
          </label>
        )}
        {!live && <p>No samples are coming in. Connect the board or start the practice engine.</p>}
        <div class="button-row">
          <button
            type="button"
            class={ready ? 'strong' : ''}
            data-testid="check-start"
            disabled={!ready}
            onClick={() =>
              void startCheck({
                kind,
                acknowledged: true,
                ...wish,
                ...(kind === 'spot' ? { spots: names } : {}),
              })
            }
          >
            Start
          </button>
          <button type="button" data-testid="all-checks" onClick={() => choose(null)}>
            All checks
          </button>
        </div>
      </section>
      <EarlierResults />
    </>
  );
}

function spotNames(cylinders: number): string[] {
  return Array.from({ length: Math.min(MOST_SPOTS, cylinders) }, (_, cylinder) => `boot ${cylinder + 1}`);
}
