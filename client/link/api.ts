import type { AccessState, LetIn, Me, OfferStart } from '../../server/contract/access.ts';
import type { CapturePlan, CaptureSummary, RecomputedCapture } from '../../server/contract/captures.ts';
import type { CaptureStart, ErrorBody, SetupPatch } from '../../server/contract/http.ts';
import type { PracticePatch, PracticeState } from '../../server/contract/practice.ts';
import type { Setup } from '../../server/contract/setup.ts';

export type Answer<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly error: ErrorBody };

const TIMEOUT_MS = 8_000;
/** An hour of samples is worked out again in seconds, on a slow computer in a minute. */
const LONG_TIMEOUT_MS = 120_000;

const NO_ANSWER: ErrorBody = {
  code: 'no-answer',
  message: 'The program did not answer.',
  whatToDo: 'Check that it still runs on the computer with the board, then try again.',
};

export const api = {
  changeSetup: (patch: SetupPatch) => call<Setup>('PATCH', 'api/setup', patch),
  startCapture: (start: CaptureStart) => call<CaptureSummary>('POST', 'api/captures', start),
  stopCapture: (id: string) => call<CaptureSummary>('POST', `api/captures/${encodeURIComponent(id)}/stop`),
  recomputed: (id: string) =>
    call<RecomputedCapture>(
      'GET',
      `api/captures/${encodeURIComponent(id)}/recomputed`,
      undefined,
      LONG_TIMEOUT_MS,
    ),
  planCapture: (plan: CapturePlan) => call<CapturePlan>('POST', 'api/captures/planned', plan),
  dropPlan: () => call<null>('DELETE', 'api/captures/planned'),
  changePractice: (patch: PracticePatch) => call<PracticeState>('PATCH', 'api/practice', patch),
  blip: () => call<null>('POST', 'api/practice/blip'),
  me: () => call<Me>('GET', 'api/access/me'),
  letIn: (handed: LetIn) => call<Me>('POST', 'api/access/let-in', handed),
  access: () => call<AccessState>('GET', 'api/access'),
  offerCode: (start: OfferStart) => call<AccessState>('POST', 'api/access/offer', start),
  withdrawCode: () => call<AccessState>('DELETE', 'api/access/offer'),
  removeDevice: (id: string) => call<AccessState>('DELETE', `api/access/devices/${encodeURIComponent(id)}`),
  samplesAddress: (id: string) => `api/captures/${encodeURIComponent(id)}/samples.csv`,
};

/** Asks the program. A picture or file goes as it is, anything else as JSON. */
export async function call<T>(
  method: string,
  path: string,
  body?: unknown,
  timeoutMs = TIMEOUT_MS,
): Promise<Answer<T>> {
  try {
    const answer = await fetch(path, {
      method,
      signal: AbortSignal.timeout(timeoutMs),
      ...(body === undefined
        ? {}
        : body instanceof Blob
          ? { body, headers: { 'content-type': body.type } }
          : { body: JSON.stringify(body), headers: { 'content-type': 'application/json' } }),
    });
    const text = await answer.text();
    const value: unknown = text === '' ? null : JSON.parse(text);
    if (answer.ok) return { ok: true, value: value as T };
    return { ok: false, error: isErrorBody(value) ? value : NO_ANSWER };
  } catch {
    return { ok: false, error: NO_ANSWER };
  }
}

function isErrorBody(value: unknown): value is ErrorBody {
  return typeof value === 'object' && value !== null && 'message' in value && 'whatToDo' in value;
}
