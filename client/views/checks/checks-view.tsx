import './checks.css';
import { useEffect } from 'preact/hooks';
import { practice } from '../../link/latest.ts';
import { CheckList } from './check-list.tsx';
import { CheckSetup } from './check-setup.tsx';
import { chosen, followChecks, guide, state } from './checks-state.ts';
import { ComplaintGuide } from './complaint-guide.tsx';
import { PracticeHands } from './practice-hands.tsx';
import { ResultPanel } from './result-panel.tsx';
import { RunPanel } from './run-panel.tsx';

/** Guided checks: what there is, one of them step by step, what it found. */
export function ChecksView() {
  useEffect(followChecks, []);
  const all = guide.value;
  const now = state.value;
  if (all === null || now === null)
    return (
      <main class="page" id="content">
        <h1>Checks</h1>
        <p>Waiting for the program.</p>
      </main>
    );
  const kind = now.running?.kind ?? chosen.value;
  const check = all.checks.find((one) => one.kind === kind);
  if (check === undefined)
    return (
      <main class="page" id="content">
        <h1>Checks</h1>
        <div class="page-columns">
          <CheckList guide={all} />
          <ComplaintGuide guide={all} />
        </div>
      </main>
    );
  const result = now.result?.kind === kind ? now.result : null;
  return (
    <main class="page" id="content">
      <h1>{check.name}</h1>
      <p class="panel-note">{check.tells}</p>
      {now.notKept !== null && <p role="alert">{now.notKept}</p>}
      {now.running !== null && <RunPanel running={now.running} />}
      {now.running === null && result !== null && <ResultPanel result={result} />}
      {now.running === null && <CheckSetup key={check.kind} check={check} again={result !== null} />}
      {practice.value !== null && <PracticeHands kind={check.kind} state={practice.value} />}
    </main>
  );
}
