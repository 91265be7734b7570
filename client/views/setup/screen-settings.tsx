import { EarPanel } from '../../ear/ear-panel.tsx';
import { SingleKeysSwitch } from '../../keys/single-keys-switch.tsx';
import { softwareVersion } from '../../link/latest.ts';
import { THEME_CHOICES, THEME_WORDS, themeChoice } from '../../settings/theme.ts';
import { wakeLockWords } from '../../settings/wake-lock.ts';
import { chooseUnit, chosenUnit } from '../../units/chosen-unit.ts';
import { PRESSURE_UNITS } from '../../units/pressure-unit.ts';
import { Choice } from './choice.tsx';

/** What this browser remembers: units, theme, sound, keys. */
export function ScreenSettings() {
  return (
    <section class="panel" aria-labelledby="screen-name">
      <h2 class="panel-name" id="screen-name">
        This screen
      </h2>
      <Choice
        name="Pressure in"
        group="unit"
        options={PRESSURE_UNITS.map(({ id }) => ({ value: id, words: id }))}
        value={chosenUnit.value.id}
        onChoose={chooseUnit}
      />
      <Choice
        name="Theme"
        group="theme"
        options={THEME_CHOICES.map((value) => ({ value, words: THEME_WORDS[value] }))}
        value={themeChoice.value}
        onChoose={(choice) => {
          themeChoice.value = choice;
        }}
      />
      <EarPanel />
      <SingleKeysSwitch />
      <p class="field-note">{wakeLockWords.value}</p>
      {softwareVersion.value !== null && <p class="field-note">Program version {softwareVersion.value}</p>}
    </section>
  );
}
