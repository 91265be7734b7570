import type { CalibrationDeskState, CalibrationKind } from '../../../server/contract/calibration.ts';
import { discard } from './calibration-state.ts';

/** Why a step was refused, with what to do. */
export function RefusalNote({ desk, kind }: { desk: CalibrationDeskState; kind: CalibrationKind }) {
  const { refusal } = desk;
  if (refusal === null || desk.task !== kind) return null;
  return (
    <div class="refusal" role="alert" data-testid="calibration-refusal">
      <p>
        <strong>
          {refusal.channel === null ? '' : `Channel ${refusal.channel}: `}
          {refusal.message}
        </strong>{' '}
        {refusal.whatToDo}
      </p>
      <p class="field-note">Found: {refusal.detail}.</p>
      {desk.phase === 'refused' && (
        <button type="button" onClick={discard}>
          OK
        </button>
      )}
    </div>
  );
}
