import './devices.css';
import { useState } from 'preact/hooks';
import type { ErrorBody } from '../../../server/contract/http.ts';
import { api } from '../../link/api.ts';
import { codeInLink, deviceNameOf, digitsOf } from './device-link.ts';

const LONGEST_NAME = 40;

/** What a device sees that is not let in yet. */
export function LetInPage() {
  const [code, setCode] = useState(takeCodeFromLink);
  const [name, setName] = useState(() => deviceNameOf(navigator.userAgent));
  const [error, setError] = useState<ErrorBody | null>(null);
  const [asking, setAsking] = useState(false);

  const handIn = async (event: Event) => {
    event.preventDefault();
    setAsking(true);
    const answer = await api.letIn({ code, name: name.trim() });
    setAsking(false);
    // Everything starts anew, with the cookie.
    if (answer.ok) location.reload();
    else setError(answer.error);
  };

  return (
    <main class="page let-in" id="content">
      <h1>Let this device in</h1>
      <p>
        On the computer that the board is plugged into, open Set-up, Devices, and press <b>Let a device in</b>
        . Type the code that it shows.
      </p>
      <form onSubmit={handIn}>
        <label class="field">
          <span>Code, six digits</span>
          <input
            type="text"
            class="code-entry"
            data-testid="code"
            inputMode="numeric"
            autoComplete="one-time-code"
            required
            pattern="[0-9]{6}"
            title="The six digits that the instrument shows"
            value={code}
            onInput={({ currentTarget }) => {
              const digits = digitsOf(currentTarget.value);
              currentTarget.value = digits;
              setCode(digits);
            }}
          />
        </label>
        <label class="field">
          <span>Name of this device</span>
          <input
            type="text"
            data-testid="device-name"
            maxLength={LONGEST_NAME}
            required
            pattern=".*\S.*"
            title="A name, so that you know the device in the list"
            value={name}
            onInput={({ currentTarget }) => setName(currentTarget.value)}
          />
        </label>
        <button type="submit" class="strong" data-testid="let-in" disabled={asking}>
          Let this device in
        </button>
      </form>
      <p role="alert" class="field-wrong" data-testid="let-in-error" data-code={error?.code}>
        {error !== null && `${error.message} ${error.whatToDo}`}
      </p>
    </main>
  );
}

/** Out of the address as well, so that it is not kept in the history or in a bookmark. */
function takeCodeFromLink(): string {
  const code = codeInLink(location.hash);
  if (code !== '') history.replaceState(null, '', '#bench');
  return code;
}
