import { useState } from 'preact/hooks';
import { firingAngles } from '../../../server/contract/firing-angles.ts';
import type { FiringSetup } from '../../../server/contract/setup.ts';

type OwnFiringSetup = Extract<FiringSetup, { kind: 'own' }>;

export interface OwnFiringProps {
  readonly cylinders: number;
  readonly strokes: 4 | 2;
  readonly firing: OwnFiringSetup | null;
  readonly onTake: (firing: OwnFiringSetup) => void;
}

/** Order and gaps as the manual gives them. What cannot be is said under them, and nothing changes. */
export function OwnFiring({ cylinders, strokes, firing, onTake }: OwnFiringProps) {
  const [order, setOrder] = useState(firing === null ? '' : firing.order.join('-'));
  const [gaps, setGaps] = useState(firing === null ? '' : firing.gapsDeg.join('-'));
  const [wrong, setWrong] = useState('');
  const take = () => {
    const typed: OwnFiringSetup = { kind: 'own', order: figuresIn(order), gapsDeg: figuresIn(gaps) };
    const fits = firingAngles(typed, cylinders, strokes);
    setWrong(fits.ok ? '' : fits.reason);
    if (fits.ok) onTake(typed);
  };
  const described = { 'aria-invalid': wrong !== '', 'aria-describedby': 'own-firing-note' };
  return (
    <div>
      <div class="field-pair">
        <div class="field">
          <label for="firing-order">Firing order</label>
          <input
            id="firing-order"
            type="text"
            autoComplete="off"
            value={order}
            {...described}
            onInput={(event) => setOrder(event.currentTarget.value)}
          />
        </div>
        <div class="field">
          <label for="firing-gaps">Degrees from each to the next</label>
          <input
            id="firing-gaps"
            type="text"
            autoComplete="off"
            value={gaps}
            {...described}
            onInput={(event) => setGaps(event.currentTarget.value)}
          />
        </div>
      </div>
      <p class={wrong === '' ? 'field-note' : 'field-note field-wrong'} id="own-firing-note">
        {wrong === '' ? exampleFor(cylinders, strokes) : wrong}
      </p>
      <div class="button-row">
        <button type="button" class="strong" data-testid="own-firing-take" onClick={take}>
          Use this order
        </button>
      </div>
    </div>
  );
}

function figuresIn(text: string): number[] {
  return (text.match(/\d+(\.\d+)?/g) ?? []).map(Number);
}

/** A 90° V-four by its crank: common practice, no source. */
function exampleFor(cylinders: number, strokes: 4 | 2): string {
  if (cylinders === 4 && strokes === 4)
    return 'A 90° V-four fires at 180-270-180-90 with a 180° crank, at 90-270-90-270 with a 360° crank. Cylinder numbers differ: take the order from its manual.';
  const gap = Math.round((strokes === 4 ? 720 : 360) / cylinders);
  return `Take both from the manual. An even engine of ${cylinders} has ${cylinders} times ${gap}°.`;
}
