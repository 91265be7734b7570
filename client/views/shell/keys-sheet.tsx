import { KEY_MAP } from '../../keys/key-map.ts';
import { singleKeys } from '../../keys/single-keys.ts';
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
      <label class="switch">
        <input
          type="checkbox"
          checked={singleKeys.value}
          onChange={(event) => {
            singleKeys.value = event.currentTarget.checked;
          }}
        />
        <span>Single keys work as shortcuts</span>
      </label>
    </SheetFrame>
  );
}
