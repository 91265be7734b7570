import type { CaptureSummary } from '../../../server/contract/captures.ts';
import type { Update } from '../../../server/contract/live.ts';

/** What of the screen and the practice engine decides that a step is done. */
export interface TourFacts {
  readonly settling: Update['settling'] | null;
  readonly verdict: Update['verdict'] | null;
  /** Turns of all balance screws together have changed since the tour began. */
  readonly screwTurned: boolean;
  /** State of the newest capture of each kind since the tour began. */
  readonly before: CaptureSummary['state'] | null;
  readonly after: CaptureSummary['state'] | null;
  readonly view: string;
}

export interface TourStep {
  readonly name: string;
  readonly words: string;
  /** Whether it was done; a step without this is read and passed by the button. */
  readonly done?: (facts: TourFacts) => boolean;
}

const isOver = (state: CaptureSummary['state'] | null) => state !== null && state !== 'recording';

/** The whole sequence, on an engine that cannot be harmed. */
export const TOUR_STEPS: readonly TourStep[] = [
  {
    name: 'Look',
    words:
      'This engine is made up, and its cylinders pull unevenly. The big figure is the largest difference between two of them; ± says how sure it is. Wait for the word “steady”.',
    done: ({ settling }) => settling === 'steady',
  },
  {
    name: 'Before',
    words: 'Press “Capture before”: it writes down how the engine was. Stop it after a few seconds.',
    done: ({ before }) => isOver(before),
  },
  {
    name: 'Turn',
    words:
      'Turn the balance screw of the practice engine a bit, either way. Then take your hand off and watch the markers: did they come together?',
    done: ({ screwTurned }) => screwTurned,
  },
  {
    name: 'Converge',
    words:
      'Go on in the direction that helps, with smaller turns. The sentence under the figure says what to turn next as soon as it can tell. Stop when it says “Equal”.',
    done: ({ verdict }) => verdict === 'inside',
  },
  {
    name: 'Idle speed',
    words:
      'Balancing moves the idle speed. On a real engine bring it back to the service data with the idle screw, open and shut the throttle once, let it settle, and look at the balance again.',
  },
  {
    name: 'After',
    words: 'Press “Capture after” and stop it after a few seconds.',
    done: ({ after }) => isOver(after),
  },
  {
    name: 'Compare',
    words: 'Open “Captures”: before and after stand side by side, with what the difference is worth.',
    done: ({ view }) => view === 'captures',
  },
  {
    name: 'On a real engine',
    words:
      'First what balancing cannot cure: valve clearances, boots, hoses, plugs, filters. Warm engine, fresh air, a hose on every port. Start in “Jobs”, so that the captures go to the machine’s record. Afterwards hoses off and ports closed.',
  },
];
