import { earOn, toggleEar } from '../../ear/ear-cue.ts';
import { frozen, toggleFreeze } from '../../link/shown.ts';
import { fullScreen, toggleFullScreen } from '../../settings/full-screen.ts';
import { chooseUnit, chosenUnit } from '../../units/chosen-unit.ts';
import { PRESSURE_UNITS, pressureUnit } from '../../units/pressure-unit.ts';
import { farView, toggleFarView } from '../view.ts';
import { showSheet } from './sheet.ts';

/** What is used while the hands are dirty: one tap each. */
export function Toolbar() {
  return (
    <div class="toolbar" role="toolbar" aria-label="Screen">
      <button type="button" data-testid="far-view" onClick={toggleFarView}>
        {farView.value ? 'Back to bench' : 'Far-view'}
      </button>
      <button type="button" data-testid="freeze" aria-pressed={frozen.value} onClick={toggleFreeze}>
        Freeze
      </button>
      <button type="button" data-testid="sound" aria-pressed={earOn.value} onClick={toggleEar}>
        Sound
      </button>
      <label class="unit-choice near-only">
        <span class="unseen">Pressure in</span>
        <select
          data-testid="unit"
          value={chosenUnit.value.id}
          onChange={(event) => chooseUnit(pressureUnit(event.currentTarget.value).id)}
        >
          {PRESSURE_UNITS.map(({ id }) => (
            <option key={id} value={id}>
              {id}
            </option>
          ))}
        </select>
      </label>
      <button
        type="button"
        class="wide-only widest-only"
        aria-pressed={fullScreen.value}
        onClick={toggleFullScreen}
      >
        Full screen
      </button>
      <button
        type="button"
        class="wide-only near-only"
        data-testid="cautions"
        onClick={() => showSheet('cautions')}
      >
        Cautions
      </button>
      <button
        type="button"
        class="wide-only widest-only near-only"
        data-testid="keys"
        aria-label="Keys"
        onClick={() => showSheet('keys')}
      >
        ?
      </button>
      <button type="button" class="near-only" data-testid="more" onClick={() => showSheet('more')}>
        More
      </button>
    </div>
  );
}
