import type { LetInDevice } from '../../../server/contract/access.ts';
import { startedWords } from '../captures/capture-words.ts';
import { removeDevice } from './devices-state.ts';

/** Who is let in, and out again with one tap. */
export function DeviceList({ devices }: { devices: readonly LetInDevice[] }) {
  return (
    <section class="panel" aria-labelledby="devices-name">
      <h2 class="panel-name" id="devices-name">
        Devices that are let in
      </h2>
      {devices.length === 0 ? (
        <p class="panel-note">None. Only browsers on this computer see the instrument.</p>
      ) : (
        <ul class="device-list" data-testid="device-list">
          {devices.map(({ id, name, role, connected, lastSeenAtMs }) => (
            <li key={id}>
              <div>
                <p class="device-name">{name}</p>
                <p class="panel-note">
                  {role === 'view' ? 'Only looks' : 'Operates'},{' '}
                  {connected ? 'connected now' : `last seen ${startedWords(lastSeenAtMs, Date.now())}`}
                </p>
              </div>
              <button type="button" aria-label={`Remove ${name}`} onClick={() => removeDevice(id)}>
                Remove
              </button>
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}
