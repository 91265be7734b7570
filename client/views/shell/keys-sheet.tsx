import { KEY_MAP } from '../../keys/key-map.ts';
import { SingleKeysSwitch } from '../../keys/single-keys-switch.tsx';
import { SheetFrame } from './sheet-frame.tsx';

/** The shortcuts. */
export function KeysSheet() {
  return (
    <SheetFrame name="Keys" closeWords="Close" closeTestId="keys-close">
      <dl class="keys">
        {KEY_MAP.map(({ key, words }) => (
          <div key={key}>
            <dt>
              <kbd>{key.toUpperCase()}</kbd>
            </dt>
            <dd>{words}</dd>
          </div>
        ))}
        <div>
          <dt>
            <kbd>←</kbd> <kbd>→</kbd>
          </dt>
          <dd>On a practice screw: a bit out, a bit in</dd>
        </div>
        <div>
          <dt>
            <kbd>Page ↓</kbd> <kbd>Page ↑</kbd>
          </dt>
          <dd>On a practice screw: ¼ turn out, ¼ turn in</dd>
        </div>
      </dl>
      <SingleKeysSwitch />
    </SheetFrame>
  );
}
