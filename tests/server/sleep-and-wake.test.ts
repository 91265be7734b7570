import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { CaptureSummary } from '../../server/contract/captures.ts';
import { ScriptedBoard, sleep, until } from './board/scripted-board.ts';
import { open } from './jobs/capture-fixture.ts';
import { RunningService, type Viewer } from './running-service.ts';

/** Longer than a board may be silent, and than the figures of a screen stay fresh. */
const ASLEEP_MS = 4_000;

let folder = '';
let board: ScriptedBoard | null = null;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'idlewright-sleep-'));
});
afterEach(async () => {
  await board?.unplug();
  board = null;
  rmSync(folder, { recursive: true, force: true });
});

function newestCapture({ messages }: Viewer, id: string): CaptureSummary | undefined {
  const event = messages.findLast(
    (message) => message.type === 'event' && message.event === 'capture' && message.capture.id === id,
  );
  return event?.type === 'event' && event.event === 'capture' ? event.capture : undefined;
}

describe('a computer that sleeps in a capture and wakes: the process stands still and its clock has jumped', {
  timeout: 180_000,
}, () => {
  test.each(['practice', 'a board on a pseudo-terminal'])(
    'with %s it measures again, the capture goes on, and its time only grows',
    async (what) => {
      let source = 'practice';
      if (what !== 'practice') {
        board = await ScriptedBoard.plugIn(join(folder, 'ttyBoard'), { samples: true });
        source = `serial:${board.path}`;
      }
      const data = join(folder, 'data');
      const service = await RunningService.start(['--source', source, '--port', '0', '--data', data]);
      const viewer = service.watch();
      await until('live', () => viewer.updates.length > 0);
      const { id } = await service.send<CaptureSummary>('POST', '/api/captures', { label: 'before' });
      await until('captured', () => (newestCapture(viewer, id)?.samples ?? 0) > 200);

      service.process.kill('SIGSTOP');
      await sleep(ASLEEP_MS);
      const asleep = { updates: viewer.updates.length, samples: newestCapture(viewer, id)!.samples };
      service.process.kill('SIGCONT');

      await until('figures again', () => viewer.updates.length > asleep.updates + 25);
      await until('captured again', () => newestCapture(viewer, id)!.samples > asleep.samples + 200);
      expect(viewer.socket.readyState).toBe(viewer.socket.OPEN);
      const { link } = await service.get<{ link: string }>('/api/health');
      expect(link).toBe('live');
      const done = await service.send<CaptureSummary>('POST', `/api/captures/${id}/stop`);
      expect(done).toMatchObject({ id, state: 'complete' });
      viewer.leave();
      expect((await service.kill('SIGTERM')).status).toBe(0);

      const store = await open(data);
      const ticks = [...store.captures.chunks(id)].flatMap(({ timeTicks }) => timeTicks);
      store.close();
      expect(ticks).toHaveLength(done.samples);
      for (const [row, tick] of ticks.entries()) if (row > 0) expect(tick).toBeGreaterThan(ticks[row - 1]!);
    },
  );
});
