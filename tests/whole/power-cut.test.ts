import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { CaptureSummary } from '../../server/contract/captures.ts';
import type { PracticeState } from '../../server/contract/practice.ts';
import { until } from '../server/board/scripted-board.ts';
import { RunningService } from '../server/running-service.ts';
import { builtProgram } from './built-program.ts';

let data = '';
beforeAll(() => {
  data = mkdtempSync(join(tmpdir(), 'idlewright-power-'));
});
afterAll(() => rmSync(data, { recursive: true, force: true }));

const args = () => ['--source', 'practice', '--port', '0', '--data', data];
const sleep = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));

async function capture(
  service: RunningService,
  label: 'before' | 'after',
  ms: number,
): Promise<CaptureSummary> {
  const { id } = await service.send<CaptureSummary>('POST', '/api/captures', { label });
  await sleep(ms);
  return service.send<CaptureSummary>('POST', `/api/captures/${id}/stop`);
}

describe('a battery that dies', { timeout: 180_000 }, () => {
  test('costs no finished capture and at most half a second of the one under way', async () => {
    const service = await RunningService.start(args(), {}, builtProgram());
    const viewer = service.watch();
    await until('a reading', () => (viewer.newest?.spreadKpa ?? null) !== null, 60_000);
    const before = await capture(service, 'before', 6_000);
    const panel = await service.get<PracticeState>('/api/practice');
    await service.send('PATCH', '/api/practice', {
      balanceScrewTurns: panel.balanceScrews.map(() => 0.5),
    });
    await sleep(1_000);
    const after = await capture(service, 'after', 6_000);
    expect(before).toMatchObject({ label: 'before', state: 'complete', practice: true });
    expect(after).toMatchObject({ label: 'after', state: 'complete', practice: true });
    expect(after.spreadKpa).not.toBeCloseTo(before.spreadKpa ?? 0, 1);

    const cut = await service.send<CaptureSummary>('POST', '/api/captures', { label: 'between' });
    await sleep(3_000);
    const running = (await service.get<CaptureSummary[]>('/api/captures')).find(({ id }) => id === cut.id);
    await service.kill('SIGKILL');

    const again = await RunningService.start(args(), {}, builtProgram());
    const found = await again.get<CaptureSummary[]>('/api/captures');
    expect(found.map(({ id }) => id)).toEqual([cut.id, after.id, before.id]);
    expect(found[1]).toEqual(after);
    expect(found[2]).toEqual(before);
    expect(found[0]).toMatchObject({ state: 'interrupted', label: 'between' });
    expect(found[0]!.durationS).toBeGreaterThan((running?.durationS ?? 0) - 0.55);
    // Its figures are computed again from what is on disk.
    const recovered = async () => (await again.get<CaptureSummary[]>('/api/captures'))[0]?.idleRpm ?? null;
    await expect.poll(recovered, { timeout: 10_000 }).toBeGreaterThan(500);

    const csv = await (await fetch(`${again.url}/api/captures/${before.id}/samples.csv`)).text();
    expect(csv.trim().split('\r\n')).toHaveLength(before.samples + 1);
    await again.kill('SIGTERM');
  });
});
