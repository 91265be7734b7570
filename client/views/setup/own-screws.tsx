import { useState } from 'preact/hooks';
import type { BalancePointId, LinkageSetup } from '../../../server/contract/setup.ts';

export type OwnScrew = Extract<LinkageSetup, { kind: 'own-matrix' }>['screws'][number];

const MOST_SCREWS = 8;
const EFFECTS = [
  { value: 0, words: 'leaves it' },
  { value: 1, words: 'opens it' },
  { value: -1, words: 'closes it' },
];
const POINTS: readonly { readonly value: BalancePointId; readonly words: string }[] = [
  { value: 'idle', words: 'at idle' },
  { value: 'raised', words: 'at a raised speed (cable)' },
];

export interface OwnScrewsProps {
  readonly cylinders: number;
  readonly screws: readonly OwnScrew[];
  readonly onTake: (screws: readonly OwnScrew[]) => void;
}

/** A set described screw by screw: a name, and what a turn inward does to the throttle of each cylinder. */
export function OwnScrews({ cylinders, screws, onTake }: OwnScrewsProps) {
  const [draft, setDraft] = useState<readonly OwnScrew[]>(
    screws.length > 0 ? screws : [blankScrew(0, cylinders)],
  );
  const put = (at: number, change: Partial<OwnScrew>) =>
    setDraft(draft.map((screw, index) => (index === at ? { ...screw, ...change } : screw)));
  return (
    <div class="own-screws">
      {draft.map((screw, at) => (
        <fieldset class="own-screw" key={at}>
          <legend>Screw {at + 1}</legend>
          <label class="field">
            <span>Name, as you would say it</span>
            <input
              type="text"
              data-testid={`own-screw-${at + 1}`}
              maxLength={40}
              value={screw.name}
              onInput={(event) => put(at, { name: event.currentTarget.value })}
            />
          </label>
          <label class="field">
            <span>Works</span>
            <select
              value={screw.point ?? 'idle'}
              onChange={(event) =>
                put(at, { point: POINTS.find(({ value }) => value === event.currentTarget.value)!.value })
              }
            >
              {POINTS.map(({ value, words }) => (
                <option key={value} value={value}>
                  {words}
                </option>
              ))}
            </select>
          </label>
          {screw.opens.map((opens, cyl) => (
            <label class="field" key={cyl}>
              <span>Turned in, throttle {cyl + 1}</span>
              <select
                data-testid={`own-screw-${at + 1}-cyl-${cyl + 1}`}
                value={String(Math.sign(opens))}
                onChange={(event) => {
                  const value = Number(event.currentTarget.value);
                  put(at, { opens: screw.opens.map((other, index) => (index === cyl ? value : other)) });
                }}
              >
                {EFFECTS.map(({ value, words }) => (
                  <option key={value} value={String(value)}>
                    {words}
                  </option>
                ))}
              </select>
            </label>
          ))}
          {draft.length > 1 && (
            <button
              type="button"
              aria-label={`Remove screw ${at + 1}`}
              onClick={() => setDraft(draft.filter((_, index) => index !== at))}
            >
              Remove
            </button>
          )}
        </fieldset>
      ))}
      <div class="button-row">
        {draft.length < MOST_SCREWS && (
          <button type="button" onClick={() => setDraft([...draft, blankScrew(draft.length, cylinders)])}>
            Another screw
          </button>
        )}
        <button type="button" class="strong" data-testid="own-screws-take" onClick={() => onTake(draft)}>
          Use these screws
        </button>
      </div>
    </div>
  );
}

function blankScrew(at: number, cylinders: number): OwnScrew {
  return {
    name: '',
    point: 'idle',
    opens: Array.from({ length: cylinders }, (_, cyl) => (cyl === at % cylinders ? 1 : 0)),
  };
}
