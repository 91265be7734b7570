import type { SensorState, SourceState } from '../../../server/contract/live.ts';

const KIND: Readonly<Record<SourceState['kind'], string>> = {
  serial: 'Board',
  tcp: 'Board on the network',
  practice: 'Practice engine',
  replay: 'Recording',
};

const LINK: Readonly<Record<SourceState['link'], string>> = {
  searching: 'looking for a board',
  opening: 'opening',
  'waiting-for-board': 'waiting for the board to say what it is',
  live: 'live',
  stalled: 'no samples coming',
  lost: 'connection lost',
  refused: 'cannot be used',
};

/** The source in a few words: what it is, how it is, how fast. */
export function sourceWords(source: SourceState): string {
  const words = [KIND[source.kind], LINK[source.link]];
  if (source.link === 'live' && source.sampleRateHz !== null) {
    words.push(`${source.channels} ${source.channels === 1 ? 'channel' : 'channels'}`);
    words.push(`${Math.round(source.sampleRateHz)} samples/s`);
  }
  return words.join(', ');
}

export interface Trouble {
  readonly code: string;
  readonly sentence: string;
}

/** One sentence about why the screen shows less than it could, or null when all is well. */
export function troubleSentence(facts: {
  readonly connection: 'connecting' | 'open' | 'waiting';
  readonly everConnected: boolean;
  /** Whether the program takes no more screens. */
  readonly crowded: boolean;
  readonly source: SourceState | null;
  readonly stale: boolean;
}): Trouble | null {
  const { connection, everConnected, crowded, source, stale } = facts;
  if (crowded) {
    return {
      code: 'too-many-viewers',
      sentence: 'Too many screens are connected. Close the page on a screen that is not needed.',
    };
  }
  if (connection !== 'open') {
    return everConnected
      ? {
          code: 'program-lost',
          sentence:
            'The connection to the program is lost. It is tried again by itself; check that the program runs.',
        }
      : { code: 'program-searching', sentence: 'Connecting to the program.' };
  }
  if (source === null) return { code: 'program-searching', sentence: 'Connecting to the program.' };
  if (source.sentence !== '') return { code: source.errorCode ?? 'source', sentence: source.sentence };
  if (source.link !== 'live') {
    return { code: source.link, sentence: `${capital(LINK[source.link])}. Measuring starts by itself.` };
  }
  if (stale)
    return { code: 'stale', sentence: 'No reading for a second. Figures come back with the next samples.' };
  return null;
}

const SENSOR: Readonly<Record<SensorState, string>> = {
  ok: '',
  'no-pulse': 'No intake pulse: engine stopped, or this cylinder does not draw.',
  'open-to-air': 'Reads outside air: the hose has come off, or the engine is stopped.',
  blocked: 'Pressure does not move: hose or port blocked.',
  saturated: 'Sensor at the end of its range.',
  dead: 'No signal from this sensor.',
  noisy: 'Noisy signal: keep hose and cable away from the ignition leads.',
};

export function sensorSentence(state: SensorState): string {
  return SENSOR[state];
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
