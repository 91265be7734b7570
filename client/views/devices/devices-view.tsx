import './devices.css';
import { useEffect } from 'preact/hooks';
import type { AccessState } from '../../../server/contract/access.ts';
import { role } from '../../link/access.ts';
import { openView } from '../view.ts';
import { DeviceList } from './device-list.tsx';
import { access, followDevices } from './devices-state.ts';
import { OfferPanel } from './offer-panel.tsx';

/** Other devices of the network: let in by a code that is shown here alone, and removed again. */
export function DevicesView() {
  useEffect(followDevices, []);
  const state = access.value;
  return (
    <main class="page" id="content">
      <h1>Devices</h1>
      {role.value !== null && role.value !== 'instrument' ? (
        <p>Devices are let in on the instrument’s own screen: the computer that the board is plugged into.</p>
      ) : state === null ? (
        <p>Waiting for the program.</p>
      ) : state.lan === null ? (
        <Closed />
      ) : (
        <Open state={state} lan={state.lan} />
      )}
      <button type="button" class="plain" onClick={() => openView('setup')}>
        Back to set-up
      </button>
    </main>
  );
}

function Open({ state, lan }: { state: AccessState; lan: NonNullable<AccessState['lan']> }) {
  return (
    <div class="page-columns">
      <div>
        <OfferPanel state={state} lan={lan} />
      </div>
      <div>
        <DeviceList devices={state.devices} />
        <Safety fingerprint={lan.fingerprint} />
      </div>
    </div>
  );
}

function Safety({ fingerprint }: { fingerprint: string | null }) {
  return (
    <section class="panel" aria-labelledby="safety-name">
      <h2 class="panel-name" id="safety-name">
        In your own network only
      </h2>
      {fingerprint === null ? (
        <p>
          What the screens show goes over the network as it is: anyone who can listen to the network can read
          it. Start with <code>--lan --tls</code> to encrypt it. Never use this in a network that guests or
          customers share.
        </p>
      ) : (
        <>
          <p>
            What goes over the network is encrypted. A browser warns once, because nobody but this computer
            vouches for its certificate. Go on only if the SHA-256 fingerprint that the browser shows is this
            one:
          </p>
          <p class="fingerprint" data-testid="fingerprint">
            {fingerprint.replaceAll(':', ' ')}
          </p>
        </>
      )}
    </section>
  );
}

function Closed() {
  return (
    <section class="panel" aria-label="How to open the program to other devices">
      <p>
        Only browsers on this computer see the instrument. To use a tablet or a phone of your own network,
        stop the program and start it with
      </p>
      <p>
        <code>npm start -- --lan</code>
      </p>
      <p class="panel-note">Each device is then let in by a code that is shown here.</p>
    </section>
  );
}
