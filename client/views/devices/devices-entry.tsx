import { role } from '../../link/access.ts';
import { openView } from '../view.ts';

/** The way to the devices, on the instrument's own screen alone. */
export function DevicesEntry() {
  if (role.value !== 'instrument') return null;
  return (
    <section class="panel" aria-labelledby="devices-entry-name">
      <h2 class="panel-name" id="devices-entry-name">
        Other devices
      </h2>
      <p class="panel-note">Use the instrument on a tablet or a phone of your own network.</p>
      <button type="button" data-testid="open-devices" onClick={() => openView('devices')}>
        Devices
      </button>
    </section>
  );
}
