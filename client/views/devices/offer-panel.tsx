import { signal } from '@preact/signals';
import type { AccessState, DeviceRole } from '../../../server/contract/access.ts';
import { Choice } from '../setup/choice.tsx';
import { codeWords, deviceLink } from './device-link.ts';
import { offerCode, withdrawCode } from './devices-state.ts';
import { QrCode } from './qr-code.tsx';

const ROLES: readonly { readonly value: DeviceRole; readonly words: string }[] = [
  { value: 'view', words: 'Only look' },
  { value: 'operate', words: 'Operate' },
];

/** Looking is enough for most, and does the least harm in the wrong hands. */
const chosenRole = signal<DeviceRole>('view');
const chosenAddress = signal<string | null>(null);

/** Makes a code, and shows it while it is good. */
export function OfferPanel({ state, lan }: { state: AccessState; lan: NonNullable<AccessState['lan']> }) {
  const { offer } = state;
  const address = lan.addresses.find((each) => each === chosenAddress.value) ?? lan.addresses[0];
  if (address === undefined) {
    return <p>This computer is on no network just now. Connect it to yours; this page goes on by itself.</p>;
  }
  return (
    <section class="panel" aria-labelledby="offer-name">
      <h2 class="panel-name" id="offer-name">
        Let a device in
      </h2>
      {offer === null ? (
        <>
          <Choice
            name="The device may"
            group="device-role"
            note="One that operates can change the set-up, take captures and write in the job record."
            options={ROLES}
            value={chosenRole.value}
            onChoose={(value) => {
              chosenRole.value = value;
            }}
          />
          <button
            type="button"
            class="strong offer-button"
            data-testid="offer-code"
            onClick={() => offerCode(chosenRole.value)}
          >
            Let a device in
          </button>
        </>
      ) : (
        <div class="offer">
          <QrCode
            text={deviceLink(address, offer.code)}
            name="QR code that opens this program on the device, with the code filled in"
          />
          <div class="offer-words">
            <p>Point the camera of the device here, or open</p>
            <p class="offer-address" data-testid="offer-address">
              {address}
            </p>
            <p>and type</p>
            <p class="offer-code" data-testid="offered-code" data-code={offer.code}>
              {codeWords(offer.code)}
            </p>
            <p class="panel-note">
              For one device that {offer.role === 'view' ? 'only looks' : 'operates'}. Good for{' '}
              <span data-testid="offer-left">{timeWords(offer.leftS)}</span>.
            </p>
            <button type="button" data-testid="withdraw-code" onClick={withdrawCode}>
              Withdraw the code
            </button>
          </div>
        </div>
      )}
      {offer !== null && lan.addresses.length > 1 && (
        <Choice
          name="Address of this computer in the network of the device"
          group="device-address"
          options={lan.addresses.map((value) => ({ value, words: shortAddress(value) }))}
          value={address}
          onChoose={(value) => {
            chosenAddress.value = value;
          }}
        />
      )}
      <p role="status" data-testid="offer-outcome">
        {outcomeWords(state)}
      </p>
    </section>
  );
}

function outcomeWords({ offer, lastOffer }: AccessState): string {
  if (offer !== null) {
    if (offer.wrongTries === 0) return '';
    return offer.wrongTries === 1
      ? 'One wrong code was typed.'
      : `${offer.wrongTries} wrong codes were typed. If that was not you, someone in the network is guessing.`;
  }
  switch (lastOffer) {
    case 'used':
      return 'A device was let in. It is in the list.';
    case 'run-out':
      return 'The code has run out. Make a new one.';
    case 'guessed-at':
      return 'Too many wrong codes were typed, so the code is no longer good. Someone in the network may be guessing.';
    default:
      return '';
  }
}

const timeWords = (leftS: number): string =>
  `${Math.floor(leftS / 60)}:${String(Math.floor(leftS % 60)).padStart(2, '0')}`;

const shortAddress = (url: string): string => new URL(url).host;
