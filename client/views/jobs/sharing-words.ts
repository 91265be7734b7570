import type { RecordSharing } from '../../../server/contract/jobs-views.ts';

/** What keeps the shared record away and what happens meanwhile; null where it is reached. */
export function sharingTrouble(sharing: RecordSharing, nowMs: number): string | null {
  const { server, trouble, troubleSinceMs, capturesWaiting } = sharing;
  if (server === null || trouble === null) return null;
  const since = troubleSinceMs === null ? '' : ` since ${sinceWords(troubleSinceMs, nowMs)}`;
  return `${CAUSE[trouble](since)} ${waitingWords(capturesWaiting)}`;
}

/** Where the captures of this bench are, while the record is reached. */
export function deliveryWords({ capturesWaiting, lastDeliveredAtMs }: RecordSharing, nowMs: number): string {
  if (capturesWaiting === null) return 'the record is being looked for';
  if (capturesWaiting > 0) return `${counted(capturesWaiting)} on the way`;
  return lastDeliveredAtMs === null
    ? 'all of this bench are there'
    : `all of this bench are there, the last since ${sinceWords(lastDeliveredAtMs, nowMs)}`;
}

type Trouble = NonNullable<RecordSharing['trouble']>;

const CAUSE: Readonly<Record<Trouble, (since: string) => string>> = {
  'records-unreachable': goneWords,
  'records-unsure': goneWords,
  'records-refused': (since) =>
    `The server of the shop’s shared record has not let this bench in${since}, or takes no more data. Check user, password, database and free space of the server that --records names.`,
  'records-newer-version': (since) =>
    `The shop’s shared record has been newer than this program${since}. Update the program on this bench.`,
};

function goneWords(since: string): string {
  return `The network to the shop’s shared record, or its server, has been gone${since}.`;
}

function waitingWords(waiting: number | null): string {
  if (waiting === 0)
    return 'No capture waits: what is captured or checked now is kept on this bench meanwhile.';
  if (waiting === null)
    return 'Captures and results of checks are kept on this bench and delivered by themselves when it is back.';
  return waiting === 1
    ? '1 capture waits on this bench and is delivered by itself when it is back.'
    : `${counted(waiting)} wait on this bench and are delivered by themselves when it is back.`;
}

function counted(captures: number): string {
  return captures === 1 ? '1 capture' : `${captures} captures`;
}

/** The time alone for what was today. */
function sinceWords(atMs: number, nowMs: number): string {
  const sameDay = new Date(atMs).toDateString() === new Date(nowMs).toDateString();
  return new Intl.DateTimeFormat(undefined, {
    ...(sameDay ? {} : { dateStyle: 'medium' as const }),
    timeStyle: 'short',
  }).format(atMs);
}
