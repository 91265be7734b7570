import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { CaptureSummary } from '../../server/contract/captures.ts';
import type { LiveMessage, SourceState } from '../../server/contract/live.ts';
import { DATABASE_FILE } from '../../server/jobs/open-store.ts';
import { until } from './board/scripted-board.ts';
import { open } from './jobs/capture-fixture.ts';
import { RunningService, type Viewer } from './running-service.ts';

let folder = '';

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'idlewright-disk-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** The operating system's limit on the size of a file stands in for the full disk, and can be lifted again. */
function letFilesGrowTo(service: RunningService, bytes: number | 'unlimited'): void {
  execFileSync('prlimit', ['--pid', String(service.process.pid), `--fsize=${bytes}:unlimited`]);
}

function newestCapture({ messages }: Viewer, id: string): CaptureSummary | undefined {
  const event = messages.findLast(
    (message: LiveMessage) =>
      message.type === 'event' && message.event === 'capture' && message.capture.id === id,
  );
  return event?.type === 'event' && event.event === 'capture' ? event.capture : undefined;
}

function newestSource({ messages }: Viewer): SourceState | undefined {
  const told = messages.findLast(
    (message: LiveMessage) =>
      message.type === 'snapshot' || (message.type === 'event' && message.event === 'source'),
  );
  return told !== undefined && 'source' in told ? told.source : undefined;
}

describe('the disk of a capture', { timeout: 180_000 }, () => {
  test('fills up: it ends as interrupted and that is said, measuring goes on, and the next one is kept', async () => {
    const data = join(folder, 'full');
    const service = await RunningService.start(['--source', 'practice', '--port', '0', '--data', data]);
    const viewer = service.watch();
    await until('live', () => viewer.updates.length > 0);
    const { id } = await service.send<CaptureSummary>('POST', '/api/captures', { label: 'before' });
    await until('some is on the disk', () => (newestCapture(viewer, id)?.samples ?? 0) > 1_000);
    letFilesGrowTo(service, statSync(join(data, `${DATABASE_FILE}-wal`)).size);

    await until('ended', () => newestCapture(viewer, id)?.state === 'interrupted');
    await until('said', () => newestSource(viewer)?.errorCode === 'capture-not-saved');
    expect(newestSource(viewer)?.sentence).not.toBe('');
    const shown = viewer.updates.length;
    await until('measuring goes on', () => viewer.updates.length > shown + 25);
    expect(viewer.newest?.engine.running).toBe(true);
    const listed = await service.get<CaptureSummary[]>('/api/captures');
    expect(listed).toMatchObject([{ id, state: 'interrupted' }]);

    letFilesGrowTo(service, 'unlimited');
    const next = await service.send<CaptureSummary>('POST', '/api/captures', { label: 'after' });
    await until('all is well', () => newestSource(viewer)?.errorCode !== 'capture-not-saved');
    await until('captured', () => (newestCapture(viewer, next.id)?.samples ?? 0) > 500);
    const done = await service.send<CaptureSummary>('POST', `/api/captures/${next.id}/stop`);
    expect(done.state).toBe('complete');
    viewer.leave();
    expect((await service.kill('SIGTERM')).status).toBe(0);

    const store = await open(data);
    const kept = store.captures.list();
    expect(kept).toMatchObject([
      { id: next.id, state: 'complete', samples: done.samples },
      { id, state: 'interrupted' },
    ]);
    // Half a second of the practice engine is the most that was not on the disk yet.
    const samples = [...store.captures.chunks(id)].reduce((sum, chunk) => sum + chunk.timeTicks.length, 0);
    expect(samples).toBe(kept[1]!.samples);
    expect(samples).toBeGreaterThan(500);
    store.close();
  });
});
