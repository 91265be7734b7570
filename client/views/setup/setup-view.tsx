import type { SetupPatch } from '../../../server/contract/http.ts';
import type { Setup } from '../../../server/contract/setup.ts';
import { api } from '../../link/api.ts';
import { runningCapture, setup, takeAnswer } from '../../link/latest.ts';
import { tell } from '../../link/notice.ts';
import { CalibrationEntry } from '../calibration/calibration-entry.tsx';
import { DevicesEntry } from '../devices/devices-entry.tsx';
import { BarometricField } from './barometric-field.tsx';
import { Choice } from './choice.tsx';
import { FiringField } from './firing-field.tsx';
import { LinkageField } from './linkage-field.tsx';
import { NumberField } from './number-field.tsx';
import { PressureField } from './pressure-field.tsx';
import { ScreenSettings } from './screen-settings.tsx';
import { SourcePanel } from './source-panel.tsx';

async function change(patch: SetupPatch): Promise<void> {
  const answer = await tell(api.changeSetup(patch));
  if (answer.ok) takeAnswer({ type: 'event', event: 'setup', setup: answer.value });
}

/** What the instrument is told about the engine. Every change counts at once. */
export function SetupView() {
  const settings = setup.value;
  return (
    <main class="page" id="content">
      <h1>Set-up</h1>
      <div class="page-columns">
        <div>{settings === null ? <p>Waiting for the program.</p> : <EngineSetup settings={settings} />}</div>
        <div>
          <ScreenSettings />
          <SourcePanel />
          <CalibrationEntry />
          <DevicesEntry />
        </div>
      </div>
    </main>
  );
}

function EngineSetup({ settings }: { settings: Setup }) {
  const locked = runningCapture.value !== null;
  const cylinders = Array.from({ length: 8 }, (_, index) => index + 1);
  return (
    <section class="panel" aria-labelledby="engine-name">
      <h2 class="panel-name" id="engine-name">
        Engine
      </h2>
      {locked && (
        <p class="panel-note">
          A capture is running: stop it to change cylinders, strokes or barometric pressure.
        </p>
      )}
      <Choice
        name="Cylinders with a hose"
        group="cylinders"
        disabled={locked}
        options={cylinders.map((value) => ({ value, words: String(value) }))}
        value={settings.cylinders}
        onChoose={(value) => change({ cylinders: value })}
      />
      <Choice
        name="Strokes"
        group="strokes"
        disabled={locked}
        options={[
          { value: 4 as const, words: 'Four-stroke' },
          { value: 2 as const, words: 'Two-stroke' },
        ]}
        value={settings.strokes}
        onChoose={(value) => change({ strokes: value })}
      />
      <Choice
        name="Reference"
        group="reference"
        note="The cylinder without a balance screw of its own, or the mean of all."
        options={[
          { value: 'mean' as Setup['reference'], words: 'Mean of all' },
          ...cylinders
            .slice(0, settings.cylinders)
            .map((value) => ({ value: value as Setup['reference'], words: String(value) })),
        ]}
        value={settings.reference}
        onChoose={(value) => change({ reference: value })}
      />
      <PressureField
        name="Tolerance, either side of the reference"
        note="Take it from the machine’s service data. What stands here at first is only a starting point."
        id="tolerance"
        kpa={settings.toleranceKpa}
        leastKpa={0.01}
        mostKpa={50}
        onChange={(toleranceKpa) => change({ toleranceKpa })}
      />
      <LinkageField settings={settings} onChange={change} />
      <FiringField settings={settings} onChange={change} />
      <BarometricField settings={settings} disabled={locked} onChange={change} />
      <div class="field-pair">
        <NumberField
          name="Idle speed, r/min"
          id="idle-target"
          value={settings.idleTargetRpm}
          least={200}
          most={5000}
          onChange={(idleTargetRpm) => change({ idleTargetRpm })}
        />
        <NumberField
          name="Band, ± r/min"
          id="idle-band"
          value={settings.idleBandRpm}
          least={1}
          most={1000}
          onChange={(idleBandRpm) => change({ idleBandRpm })}
        />
      </div>
    </section>
  );
}
