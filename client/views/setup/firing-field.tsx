import { useState } from 'preact/hooks';
import type { SetupPatch } from '../../../server/contract/http.ts';
import type { FiringSetup, Setup } from '../../../server/contract/setup.ts';
import { BenchMachine } from './bench-machine.tsx';
import { Choice } from './choice.tsx';
import { FIRING_WORDS, type FiringMake, firingMakes, makeOf, TWIN_WAYS } from './firing-words.ts';
import { NumberField } from './number-field.tsx';
import { OwnFiring } from './own-firing.tsx';

const NOT_KNOWN: FiringSetup = { kind: 'not-known' };

export interface FiringFieldProps {
  readonly settings: Setup;
  readonly onChange: (patch: SetupPatch) => void;
}

/** How the engine fires: two hoses on each other's cylinder are found by it. */
export function FiringField({ settings, onChange }: FiringFieldProps) {
  const firing = settings.firing ?? NOT_KNOWN;
  /** A make of which something has still to be told. */
  const [begun, setBegun] = useState<FiringMake | null>(null);
  const { cylinders, strokes } = settings;
  if (cylinders < 2) return null;
  const makes = firingMakes(cylinders, strokes);
  const shown = begun !== null && makes.includes(begun) ? begun : makeOf(firing);
  const take = (chosen: FiringSetup) => {
    setBegun(null);
    onChange({ firing: chosen });
  };
  const choose = (make: FiringMake) => {
    const whole = withoutQuestion(make);
    if (whole !== null) return take(whole);
    setBegun(make);
    // Until the rest is told nothing may be concluded from what was chosen before.
    if (make !== makeOf(firing) && firing.kind !== 'not-known') onChange({ firing: NOT_KNOWN });
  };
  const ways = TWIN_WAYS[shown];
  return (
    <>
      <Choice
        name="Crank and firing order"
        group="firing"
        note="With it, swapped hoses are found where the order of the pulses gives them away. On a twin that fires evenly it cannot."
        options={makes.map((value) => ({ value, words: FIRING_WORDS[value] }))}
        value={shown}
        onChoose={choose}
      />
      {ways !== undefined && (
        <Choice
          name="After cylinder 1, cylinder 2 fires"
          group="firing-second"
          note="Choose the layout “Not known” when you cannot say."
          options={ways.map((value) => ({ value: value as string, words: `${value.split('-')[1]}° later` }))}
          value={firing.kind}
          onChoose={(kind) => take({ kind } as FiringSetup)}
        />
      )}
      {shown === 'v-twin' && (
        <VTwin key={firing.kind} firing={firing.kind === 'v-twin' ? firing : null} onTake={take} />
      )}
      {shown === 'own' && (
        <OwnFiring
          key={`${cylinders} ${strokes}`}
          cylinders={cylinders}
          strokes={strokes}
          firing={firing.kind === 'own' ? firing : null}
          onTake={take}
        />
      )}
      {settings.benchVisitId != null && (
        <BenchMachine visitId={settings.benchVisitId} settings={settings} onTake={take} />
      )}
    </>
  );
}

type VTwinFiring = Extract<FiringSetup, { kind: 'v-twin' }>;

function VTwin({ firing, onTake }: { firing: VTwinFiring | null; onTake: (firing: VTwinFiring) => void }) {
  const [vAngleDeg, setAngle] = useState(firing?.vAngleDeg ?? null);
  return (
    <>
      <NumberField
        name="Angle between the cylinders, degrees"
        id="v-angle"
        value={vAngleDeg}
        decimals={1}
        least={1}
        most={179}
        required
        onChange={(value) => {
          setAngle(value);
          if (firing !== null && value !== null) onTake({ ...firing, vAngleDeg: value });
        }}
      />
      {vAngleDeg !== null && (
        <Choice
          name="After cylinder 1, cylinder 2 fires"
          group="firing-second"
          note="Choose the layout “Not known” when you cannot say."
          options={[
            { value: 'sooner', words: `${360 - vAngleDeg}° later` },
            { value: 'later', words: `${360 + vAngleDeg}° later` },
          ]}
          value={firing?.second ?? ''}
          onChoose={(second) =>
            onTake({ kind: 'v-twin', vAngleDeg, second: second as VTwinFiring['second'] })
          }
        />
      )}
    </>
  );
}

/** A choice that says everything by itself, or null. */
function withoutQuestion(make: FiringMake): FiringSetup | null {
  switch (make) {
    case 'twin-360':
      return { kind: 'twin-360-360' };
    case 'twin-180':
    case 'twin-270':
    case 'v-twin':
    case 'own':
      return null;
    default:
      return { kind: make };
  }
}
