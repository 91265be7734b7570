import type { CaptureSummary } from '../../../server/contract/captures.ts';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { decimalsFor } from '../../units/decimals.ts';
import { figureText, pressureText } from '../../units/figure-text.ts';
import { fromKpa } from '../../units/pressure-unit.ts';
import { CAPTURE_WORDS, durationWords, STATE_WORDS, startedWords } from './capture-words.ts';

/** A capture in a short list. */
export function CaptureRow({ capture }: { capture: CaptureSummary }) {
  const { label, state, practice, startedAtMs, durationS, spreadKpa, spreadExpandedKpa, idleRpm } = capture;
  const unit = chosenUnit.value;
  const decimals = decimalsFor(
    spreadExpandedKpa === null ? null : fromKpa(spreadExpandedKpa, unit),
    unit.maxDecimals,
  );
  const words = [
    startedWords(startedAtMs, Date.now()),
    durationWords(durationS),
    STATE_WORDS[state],
    practice ? 'practice' : '',
  ];
  return (
    <li class="capture-row">
      <strong>{CAPTURE_WORDS[label]}</strong>
      <span class="capture-gap">
        {pressureText(spreadKpa, decimals, unit)} {unit.id}
      </span>
      <span class="capture-idle">{figureText(idleRpm, 0)} r/min</span>
      <span class="capture-when">{words.filter((word) => word !== '').join(', ')}</span>
    </li>
  );
}
