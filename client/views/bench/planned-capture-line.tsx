import type { PlannedCapture } from '../../../server/contract/captures.ts';
import { plannedCapture } from '../../link/latest.ts';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { decimalsFor } from '../../units/decimals.ts';
import { plusMinusPressure } from '../../units/figure-text.ts';
import { fromKpa } from '../../units/pressure-unit.ts';

/** What a capture that starts and ends by itself is waiting for. */
export function PlannedCaptureLine() {
  const planned = plannedCapture.value;
  if (planned === null) return null;
  return (
    <p class="field-note" data-testid="planned-capture" data-phase={planned.phase}>
      {planned.phase === 'waiting' ? waitingWords(planned) : recordingWords(planned)}
    </p>
  );
}

function waitingWords({ when, startsInS }: PlannedCapture): string {
  if (startsInS !== null) return `Starts in ${Math.max(1, Math.ceil(startsInS))} s if nothing moves.`;
  return when === 'equal' ? 'Waits until all are equal and steady.' : 'Waits until nothing moves.';
}

function recordingWords({ expandedKpa, sureAtKpa, endsWithinS }: PlannedCapture): string {
  const unit = chosenUnit.value;
  const decimals = decimalsFor(fromKpa(sureAtKpa, unit), unit.maxDecimals);
  const figure = (kpa: number) => plusMinusPressure(kpa, decimals, unit);
  const now = expandedKpa === null ? '' : ` Now ${figure(expandedKpa)}.`;
  return `Ends by itself at ${figure(sureAtKpa)} ${unit.id}, in ${Math.ceil(endsWithinS)} s at the latest.${now}`;
}
