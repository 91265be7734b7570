import type { ByteSource } from '../board/byte-source.ts';
import type { LinkPhase, LinkState } from '../board/link-types.ts';
import type { SourceState } from '../contract/live.ts';
import { type ErrorCode, sentenceFor } from '../error-catalogue.ts';

/** The state of source and board as the screen gets it. */
export function sourceView(
  source: ByteSource | null,
  link: LinkState | null,
  trouble: ErrorCode | null,
  counters: Readonly<Record<string, number>>,
): SourceState {
  const errorCode = link?.errorCode ?? trouble;
  const identity = link === null || link.phase === 'stopped' ? null : link.identity;
  return {
    kind: source?.kind ?? 'serial',
    address: source?.address ?? 'auto',
    practice: source?.kind === 'practice',
    link: link === null ? 'searching' : shownPhase(link),
    boardId: identity?.boardId ?? null,
    firmwareVersion: identity?.firmwareVersion ?? null,
    channels: identity?.sensorTypes.length ?? 0,
    sampleRateHz: identity?.sampleRateHz ?? null,
    sentence: errorCode === null ? '' : sentenceFor(errorCode),
    errorCode,
    counters: { ...counters },
  };
}

/** While it tries again the link is still as lost as before: the word must not flicker with every try. */
function shownPhase({ phase, errorCode }: LinkState): SourceState['link'] {
  const shown: Record<LinkPhase, SourceState['link']> = {
    stopped: 'searching',
    opening: errorCode === null ? 'opening' : openingAgain(errorCode),
    'waiting-for-board': 'waiting-for-board',
    live: 'live',
    stalled: 'stalled',
    lost: 'lost',
    ended: 'lost',
    refused: 'refused',
  };
  return shown[phase];
}

function openingAgain(errorCode: ErrorCode): SourceState['link'] {
  if (errorCode === 'board-stalled') return 'stalled';
  return errorCode.startsWith('source-') ? 'lost' : 'waiting-for-board';
}
