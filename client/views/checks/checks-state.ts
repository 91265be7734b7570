import { signal } from '@preact/signals';
import type {
  CheckGuide,
  CheckKind,
  CheckResult,
  CheckStart,
  CheckState,
} from '../../../server/contract/checks.ts';
import type { Answer } from '../../link/api.ts';
import { tell } from '../../link/notice.ts';
import { checksApi } from './checks-api.ts';

/** How often the program is asked while this screen is open [ms]. */
const ASK_EVERY_MS = 400;

export const guide = signal<CheckGuide | null>(null);
export const state = signal<CheckState | null>(null);
/** The check that is looked at; null shows the list. */
export const chosen = signal<CheckKind | null>(null);
/** Earlier results of the chosen kind, newest first. */
export const earlier = signal<readonly CheckResult[]>([]);

/** Asks for the state as long as the screen is open. @returns what ends it */
export function followChecks(): () => void {
  let open = true;
  const ask = async (): Promise<void> => {
    if (!open) return;
    if (guide.value === null) {
      const answer = await checksApi.guide();
      if (answer.ok) guide.value = answer.value;
    }
    const answer = await checksApi.state();
    if (!open) return;
    if (answer.ok) take(answer.value);
    setTimeout(() => void ask(), ASK_EVERY_MS);
  };
  void ask();
  return () => {
    open = false;
  };
}

export function choose(kind: CheckKind | null): void {
  chosen.value = kind;
  earlier.value = [];
  if (kind !== null) void loadEarlier(kind);
}

export async function startCheck(start: CheckStart): Promise<void> {
  takeAnswer(await tell(checksApi.start(start)));
}

export async function happen(event: 'down' | 'up' | 'next', atMs = performance.now()): Promise<void> {
  // Presses go one after another, whatever the network does.
  const agoS = (): number => Math.min(10, Math.max(0, (performance.now() - atMs) / 1000));
  queue = queue.then(async () => takeAnswer(await tell(checksApi.happen({ event, agoS: agoS() }))));
  await queue;
}
let queue: Promise<void> = Promise.resolve();

export async function finishCheck(): Promise<void> {
  takeAnswer(await tell(checksApi.finish()));
}

export async function discardCheck(): Promise<void> {
  takeAnswer(await tell(checksApi.discard()));
}

function takeAnswer(answer: Answer<CheckState>): void {
  if (answer.ok) take(answer.value);
}

function take(next: CheckState): void {
  const before = state.value;
  state.value = next;
  if (next.running !== null && before === null && chosen.value === null) choose(next.running.kind);
  if (next.result !== null && next.result.id !== before?.result?.id) void loadEarlier(next.result.kind);
}

async function loadEarlier(kind: CheckKind): Promise<void> {
  const answer = await checksApi.results(kind);
  if (answer.ok && chosen.value === kind) earlier.value = answer.value;
}
