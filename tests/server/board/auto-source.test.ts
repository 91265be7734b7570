import { describe, expect, test } from 'vitest';
import { encodeLine } from '../../../firmware-protocol/encode-line.ts';
import {
  AutoSource,
  OPEN_AGAIN_MS,
  PRACTICE_AFTER_MS,
  PROBE_AGAIN_FIRST_MS,
  PROBE_PATIENCE_MS,
  SCAN_INTERVAL_MS,
} from '../../../server/board/auto-source.ts';
import type { ByteSource, ByteStreamHandlers, SourceErrorCode } from '../../../server/board/byte-source.ts';
import type { ErrorCode } from '../../../server/error-catalogue.ts';
import { ManualClock } from '../manual-clock.ts';
import { TEST_IDENTITY } from './scripted-board.ts';

/** What hangs on one port. */
interface Plugged {
  boardId?: string;
  text?: string;
  refuses?: SourceErrorCode;
}

class PluggedSource implements ByteSource {
  readonly kind = 'serial';
  readonly address: string;
  readonly #plugged: () => Plugged | undefined;
  readonly #onOpen: () => void;

  constructor(path: string, plugged: () => Plugged | undefined, onOpen: () => void) {
    this.address = `serial:${path}`;
    this.#plugged = plugged;
    this.#onOpen = onOpen;
  }

  async open(handlers: ByteStreamHandlers): ReturnType<ByteSource['open']> {
    this.#onOpen();
    const plugged = this.#plugged();
    if (plugged === undefined) return { ok: false, end: { code: 'source-not-found', detail: '' } };
    if (plugged.refuses !== undefined) return { ok: false, end: { code: plugged.refuses, detail: '' } };
    return {
      ok: true,
      stream: {
        write: (text) => {
          if (!text.startsWith('i')) return;
          const answer =
            plugged.text ??
            (plugged.boardId === undefined ? '' : encodeLine({ ...TEST_IDENTITY, boardId: plugged.boardId }));
          handlers.onBytes(Buffer.from(answer, 'latin1'));
        },
        close: async () => {},
      },
    };
  }
}

function bench() {
  const clock = new ManualClock();
  const ports = new Map<string, Plugged>();
  const opens: Record<string, number> = {};
  const chosen: string[] = [];
  const troubles: (ErrorCode | null)[] = [];
  const state = { live: false, captured: null as { boardId: string; practice: boolean } | null };
  const practice: ByteSource = {
    kind: 'practice',
    address: 'practice',
    open: async () => ({ ok: false, end: { code: 'source-failed', detail: '' } }),
  };
  const auto = new AutoSource({
    clock,
    practice,
    listPorts: async () => [...ports.keys()],
    openPort: (path) =>
      new PluggedSource(
        path,
        () => ports.get(path),
        () => {
          opens[path] = (opens[path] ?? 0) + 1;
        },
      ),
    choose: (source) => {
      chosen.push(source.address);
      state.live = source.kind !== 'practice';
    },
    isRealBoardLive: () => state.live,
    mayLeaveFor: (boardId) =>
      state.captured === null || (!state.captured.practice && state.captured.boardId === boardId),
    onTrouble: (code) => troubles.push(code),
  });
  return { clock, ports, opens, chosen, troubles, state, auto };
}

describe('AutoSource', () => {
  test('without any port the practice engine runs at once, and the screen says why', async () => {
    const { auto, clock, chosen, troubles } = bench();
    auto.start();
    await clock.advance(1);
    expect(chosen).toEqual(['practice']);
    expect(troubles.at(-1)).toBe('board-not-found');
  });

  test('a board that says who it is is taken', async () => {
    const { auto, clock, ports, chosen, troubles } = bench();
    ports.set('/dev/ttyUSB0', { boardId: 'b1' });
    auto.start();
    await clock.advance(1_500);
    expect(chosen).toEqual(['serial:/dev/ttyUSB0']);
    expect(troubles.at(-1)).toBeNull();
  });

  test('among other devices the board is found', async () => {
    const { auto, clock, ports, chosen } = bench();
    ports.set('/dev/ttyUSB0', {});
    ports.set('/dev/ttyUSB1', { text: 'READY\r\nREADY\r\n' });
    ports.set('/dev/ttyUSB2', { boardId: 'b1' });
    auto.start();
    await clock.advance(1_500);
    expect(chosen).toEqual(['serial:/dev/ttyUSB2']);
  });

  test('ports without a board: after a bounded time the practice engine runs, and looking goes on', async () => {
    const { auto, clock, ports, chosen } = bench();
    ports.set('/dev/ttyUSB0', {});
    auto.start();
    await clock.advance(PRACTICE_AFTER_MS - 100);
    expect(chosen).toEqual([]);
    await clock.advance(200);
    expect(chosen).toEqual(['practice']);
    ports.set('/dev/ttyUSB1', { boardId: 'b1' });
    await clock.advance(2 * SCAN_INTERVAL_MS);
    expect(chosen).toEqual(['practice', 'serial:/dev/ttyUSB1']);
  });

  test('a practice capture is not torn: the board waits until it has ended', async () => {
    const { auto, clock, ports, chosen, state } = bench();
    auto.start();
    await clock.advance(1);
    state.captured = { boardId: 'practice', practice: true };
    ports.set('/dev/ttyUSB0', { boardId: 'b1' });
    await clock.advance(4 * OPEN_AGAIN_MS);
    expect(chosen).toEqual(['practice']);
    state.captured = null;
    await clock.advance(2 * OPEN_AGAIN_MS);
    expect(chosen).toEqual(['practice', 'serial:/dev/ttyUSB0']);
  });

  test('a pulled board that comes back on another port is found there, also while it is being captured', async () => {
    const { auto, clock, ports, chosen, state } = bench();
    ports.set('/dev/ttyUSB0', { boardId: 'b1' });
    auto.start();
    await clock.advance(1_500);
    state.captured = { boardId: 'b1', practice: false };
    state.live = false;
    ports.delete('/dev/ttyUSB0');
    ports.set('/dev/ttyUSB1', { boardId: 'b1' });
    await clock.advance(3 * SCAN_INTERVAL_MS);
    expect(chosen).toEqual(['serial:/dev/ttyUSB0', 'serial:/dev/ttyUSB1']);
  });

  test('another board does not take over a capture', async () => {
    const { auto, clock, ports, chosen, state } = bench();
    ports.set('/dev/ttyUSB0', { boardId: 'b1' });
    auto.start();
    await clock.advance(1_500);
    state.captured = { boardId: 'b1', practice: false };
    state.live = false;
    ports.set('/dev/ttyUSB1', { boardId: 'b2' });
    await clock.advance(20 * SCAN_INTERVAL_MS);
    expect(chosen).toEqual(['serial:/dev/ttyUSB0']);
  });

  test('a lost board never turns into the practice engine', async () => {
    const { auto, clock, ports, chosen, state } = bench();
    ports.set('/dev/ttyUSB0', { boardId: 'b1' });
    auto.start();
    await clock.advance(1_500);
    state.live = false;
    ports.clear();
    await clock.advance(600_000);
    expect(chosen).toEqual(['serial:/dev/ttyUSB0']);
  });

  test('while a board is measured no other port is opened', async () => {
    const { auto, clock, ports, opens } = bench();
    ports.set('/dev/ttyUSB0', { boardId: 'b1' });
    auto.start();
    await clock.advance(1_500);
    ports.set('/dev/ttyUSB1', {});
    await clock.advance(60_000);
    expect(opens['/dev/ttyUSB1']).toBeUndefined();
  });

  test('a device that is no board is left alone for longer and longer, and is tried afresh when plugged in anew', async () => {
    const { auto, clock, ports, opens } = bench();
    ports.set('/dev/ttyUSB0', {});
    auto.start();
    await clock.advance(PROBE_PATIENCE_MS + 1_000);
    const firstProbe = opens['/dev/ttyUSB0'] ?? 0;
    await clock.advance(PROBE_AGAIN_FIRST_MS - 3_000);
    expect(opens['/dev/ttyUSB0']).toBe(firstProbe);
    await clock.advance(20 * 60_000);
    const later = opens['/dev/ttyUSB0'] ?? 0;
    await clock.advance(60 * 60_000);
    expect(((opens['/dev/ttyUSB0'] ?? 0) - later) / firstProbe).toBeLessThanOrEqual(13);
    ports.delete('/dev/ttyUSB0');
    await clock.advance(2 * SCAN_INTERVAL_MS);
    const before = opens['/dev/ttyUSB0'] ?? 0;
    ports.set('/dev/ttyUSB0', { boardId: 'b1' });
    await clock.advance(2 * SCAN_INTERVAL_MS);
    expect(opens['/dev/ttyUSB0']).toBeGreaterThan(before);
  });

  test.each<[SourceErrorCode]>([['source-no-permission'], ['source-in-use']])(
    'a port with %s is told of, and taken as soon as it can be opened',
    async (refuses) => {
      const { auto, clock, ports, chosen, troubles } = bench();
      ports.set('/dev/ttyUSB0', { refuses });
      auto.start();
      await clock.advance(1_000);
      expect(troubles.at(-1)).toBe(refuses);
      ports.set('/dev/ttyUSB0', { boardId: 'b1' });
      await clock.advance(2 * OPEN_AGAIN_MS);
      expect(chosen.at(-1)).toBe('serial:/dev/ttyUSB0');
      expect(troubles.at(-1)).toBeNull();
    },
  );

  test('stopping frees every port that was being tried and leaves no timer', async () => {
    const { auto, clock, ports } = bench();
    ports.set('/dev/ttyUSB0', {});
    ports.set('/dev/ttyUSB1', {});
    auto.start();
    await clock.advance(100);
    const stopped = auto.stop();
    await clock.advance(10);
    await stopped;
    expect(clock.pending).toBe(0);
  });
});
