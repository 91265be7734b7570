import { singleKeys } from './single-keys.ts';

export function SingleKeysSwitch() {
  return (
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
  );
}
