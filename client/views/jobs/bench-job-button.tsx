import { api } from '../../link/api.ts';
import { setup, takeAnswer } from '../../link/latest.ts';
import { tell } from '../../link/notice.ts';

/** New captures go to the job that is on the bench, whichever screen starts them. */
export function BenchJobButton({ visitId }: { visitId: string }) {
  const onBench = setup.value?.benchVisitId === visitId;
  const choose = async () => {
    const answer = await tell(api.changeSetup({ benchVisitId: onBench ? null : visitId }));
    if (answer.ok) takeAnswer({ type: 'event', event: 'setup', setup: answer.value });
  };
  return (
    <button
      type="button"
      class={onBench ? undefined : 'strong'}
      data-testid="bench-job"
      aria-pressed={onBench}
      disabled={setup.value === null}
      onClick={choose}
    >
      {onBench ? 'On the bench: take off' : 'Put on the bench'}
    </button>
  );
}
