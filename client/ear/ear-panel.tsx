import { cue, earOn, earTrouble, toggleEar, volume } from './ear-cue.ts';
import { speechOn, speechTrouble, toggleSpeech } from './speech.ts';

/** Switch, volume and what the cue says now. */
export function EarPanel() {
  return (
    <fieldset class="ear">
      <legend>Ear cue</legend>
      <div class="button-row">
        <button type="button" aria-pressed={earOn.value} onClick={toggleEar}>
          {earOn.value ? 'Mute' : 'Sound on'}
        </button>
        <label class="field volume">
          <span>Volume</span>
          <input
            type="range"
            min="0"
            max="1"
            step="0.05"
            value={volume.value}
            onInput={(event) => {
              volume.value = Number(event.currentTarget.value);
            }}
          />
        </label>
        <button type="button" data-testid="speech" aria-pressed={speechOn.value} onClick={toggleSpeech}>
          Say the gap
        </button>
      </div>
      {speechTrouble.value !== '' && <p class="field-note">{speechTrouble.value}</p>}
      <p class="field-note">{earTrouble.value !== '' ? earTrouble.value : earWords()}</p>
      <p class="field-note">
        Two tones beat against each other: slower as the gap closes, one steady tone when equal, silence
        without a reading. Beside a loud engine use closed headphones, and keep the volume low enough to hear
        the engine.
      </p>
    </fieldset>
  );
}

function earWords(): string {
  if (!earOn.value) return 'Off.';
  const { beatHz, sides } = cue.value;
  if (beatHz === null || sides === null) return 'Silent: there is nothing to compare.';
  if (beatHz === 0) return 'Steady: equal.';
  return `Cylinder ${sides[0]} on the left against ${sides[1]} on the right.`;
}
