import { useState } from 'preact/hooks';
import type { SetupPatch } from '../../../server/contract/http.ts';
import type { LinkageSetup, Setup } from '../../../server/contract/setup.ts';
import { Choice } from './choice.tsx';
import { LINKAGE_WORDS, linkageKinds } from './linkage-words.ts';
import { NumberField } from './number-field.tsx';
import { OwnScrews } from './own-screws.tsx';
import { PressureField } from './pressure-field.tsx';

type Kind = LinkageSetup['kind'];

export interface LinkageFieldProps {
  readonly settings: Setup;
  readonly onChange: (patch: SetupPatch) => void;
}

/** How the screws connect the cylinders: what the next move is worked out from. */
export function LinkageField({ settings, onChange }: LinkageFieldProps) {
  const linkage = settings.linkage ?? { kind: 'usual' };
  /** Own screws are described first and then taken. */
  const [describing, setDescribing] = useState(false);
  if (settings.cylinders < 2) return null;
  const shown: Kind = describing ? 'own-matrix' : linkage.kind;
  const choose = (kind: Kind) => {
    setDescribing(kind === 'own-matrix');
    if (kind === 'own-matrix') return;
    onChange({ linkage: kind === 'base-and-screws' ? { kind, base: 1 } : { kind } });
  };
  return (
    <>
      <Choice
        name="Balance screws"
        group="linkage"
        note="The next move is worked out from this. Which way each screw works is learned as you turn it."
        options={linkageKinds(settings.cylinders).map((value) => ({ value, words: LINKAGE_WORDS[value] }))}
        value={shown}
        onChoose={choose}
      />
      {linkage.kind === 'base-and-screws' && !describing && (
        <Choice
          name="Cylinder without a screw of its own"
          group="linkage-base"
          options={Array.from({ length: settings.cylinders }, (_, cyl) => ({
            value: cyl + 1,
            words: String(cyl + 1),
          }))}
          value={linkage.base}
          onChoose={(base) => onChange({ linkage: { kind: 'base-and-screws', base } })}
        />
      )}
      {shown === 'own-matrix' && (
        <OwnScrews
          key={settings.cylinders}
          cylinders={settings.cylinders}
          screws={linkage.kind === 'own-matrix' ? linkage.screws : []}
          onTake={(screws) => {
            setDescribing(false);
            onChange({ linkage: { kind: 'own-matrix', screws: [...screws] } });
          }}
        />
      )}
      {!describing && hasCables(linkage) && (
        <div class="field-pair">
          <NumberField
            name="Raised speed to hold for the cables, r/min"
            id="raised-target"
            note="Empty: about three times the idle speed."
            value={settings.raisedTargetRpm ?? null}
            least={500}
            most={10_000}
            onChange={(raisedTargetRpm) => onChange({ raisedTargetRpm })}
          />
          <PressureField
            name="Tolerance at the raised speed"
            id="raised-tolerance"
            kpa={settings.raisedToleranceKpa ?? settings.toleranceKpa}
            leastKpa={0.01}
            mostKpa={50}
            onChange={(raisedToleranceKpa) => onChange({ raisedToleranceKpa })}
          />
        </div>
      )}
    </>
  );
}

function hasCables(linkage: LinkageSetup): boolean {
  if (linkage.kind === 'own-matrix') return linkage.screws.some(({ point }) => point === 'raised');
  return linkage.kind === 'stops-and-cables';
}
