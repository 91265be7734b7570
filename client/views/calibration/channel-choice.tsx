import type { CalibratedBoard } from '../../../server/contract/calibration.ts';

interface ChannelChoiceProps {
  readonly board: CalibratedBoard;
  readonly chosen: readonly number[];
  readonly disabled: boolean;
  readonly onChange: (channels: number[]) => void;
}

/** Which hoses are on the source. */
export function ChannelChoice({ board, chosen, disabled, onChange }: ChannelChoiceProps) {
  const toggle = (channel: number) =>
    onChange(
      chosen.includes(channel)
        ? chosen.filter((other) => other !== channel)
        : [...chosen, channel].sort((a, b) => a - b),
    );
  return (
    <fieldset class="choice" disabled={disabled}>
      <legend>Hoses on the source</legend>
      <div class="choice-options">
        {board.channels.map(({ channel }) => (
          <label key={channel}>
            <input type="checkbox" checked={chosen.includes(channel)} onChange={() => toggle(channel)} />
            <span class="choice-words">{channel}</span>
          </label>
        ))}
      </div>
    </fieldset>
  );
}
