import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pino } from 'pino';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { CaptureSummary } from '../../server/contract/captures.ts';
import type { LiveMessage, Snapshot, SourceState } from '../../server/contract/live.ts';
import { type RunningService, startService } from '../../server/service.ts';
import { ScriptedBoard, TEST_IDENTITY, until } from './board/scripted-board.ts';
import { Viewer } from './running-service.ts';

let folder = '';
let service: RunningService | null = null;
let viewer: Viewer | null = null;
const boards: ScriptedBoard[] = [];

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'idlewright-auto-'));
});

afterEach(async () => {
  viewer?.leave();
  await service?.stop();
  service = null;
  await Promise.all(boards.splice(0).map((board) => board.unplug()));
  rmSync(folder, { recursive: true, force: true });
});

async function plugIn(name: string, boardId: string): Promise<ScriptedBoard> {
  const identity = { ...TEST_IDENTITY, boardId };
  const board = await ScriptedBoard.plugIn(join(folder, name), { samples: true, identity });
  boards.push(board);
  return board;
}

/** The service with `auto` on two ports that exist while something is plugged in. */
async function startAuto(): Promise<{ viewer: Viewer; source: () => SourceState | null; url: string }> {
  const ports = ['ttyA', 'ttyB'].map((name) => join(folder, name));
  service = await startService({
    dataFolder: join(folder, 'data'),
    port: 0,
    source: { kind: 'auto' },
    recordFile: null,
    clientFolder: null,
    softwareVersion: '0.0.0-test',
    logger: pino({ level: 'silent' }),
    listPorts: async () => ports.filter((path) => existsSync(path)),
  });
  const joined = new Viewer(`ws://127.0.0.1:${service.port}/live`);
  viewer = joined;
  await until('snapshot', () => joined.messages.length >= 2);
  const source = () => {
    const told = joined.messages.findLast(
      (message: LiveMessage) =>
        message.type === 'snapshot' || (message.type === 'event' && message.event === 'source'),
    ) as Snapshot | { source: SourceState } | undefined;
    return told?.source ?? null;
  };
  return { viewer: joined, source, url: `http://127.0.0.1:${service.port}` };
}

async function post(url: string, body?: unknown): Promise<CaptureSummary> {
  const answer = await fetch(url, {
    method: 'POST',
    ...(body === undefined
      ? {}
      : { headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) }),
  });
  return (await answer.json()) as CaptureSummary;
}

describe('finding the board by itself, on real pseudo-terminals', () => {
  test('practice until a board is plugged in; the board on another port after a pull; the capture goes on', async () => {
    const { source, url } = await startAuto();
    await until('practice', () => source()?.practice === true && source()?.link === 'live');
    expect(source()?.errorCode).toBe('board-not-found');

    const first = await plugIn('ttyA', 'bench-7');
    await until('the board', () => source()?.boardId === 'bench-7' && source()?.link === 'live');
    expect(source()).toMatchObject({
      practice: false,
      address: `serial:${join(folder, 'ttyA')}`,
      errorCode: null,
    });

    const capture = await post(`${url}/api/captures`, { label: 'before' });
    expect(capture).toMatchObject({ state: 'recording', practice: false });
    await new Promise((resolve) => setTimeout(resolve, 1_000));
    await first.unplug();
    await until('lost', () => source()?.link === 'lost');
    expect(source()).toMatchObject({ errorCode: 'source-unplugged', practice: false });

    await plugIn('ttyB', 'bench-7');
    await until(
      'the other port',
      () => source()?.address.endsWith('ttyB') === true && source()?.link === 'live',
    );
    await new Promise((resolve) => setTimeout(resolve, 1_000));
    const stopped = await post(`${url}/api/captures/${capture.id}/stop`);
    expect(stopped).toMatchObject({ id: capture.id, state: 'complete' });
    expect(stopped.samples).toBeGreaterThan(100);
    expect(stopped.durationS).toBeGreaterThan(stopped.samples / TEST_IDENTITY.sampleRateHz);
  });

  test('a pulled board is waited for and never replaced by the practice engine', async () => {
    const board = await plugIn('ttyA', 'bench-7');
    const { source, viewer: watching } = await startAuto();
    await until('the board', () => source()?.link === 'live' && source()?.boardId === 'bench-7');
    await board.unplug();
    await until('lost', () => source()?.link === 'lost');
    const before = watching.messages.length;
    await new Promise((resolve) => setTimeout(resolve, 3_000));
    const told = watching.messages.slice(before);
    expect(told.some((message) => message.type === 'event' && message.event === 'practice')).toBe(false);
    expect(source()).toMatchObject({ link: 'lost', practice: false });
    await plugIn('ttyA', 'bench-7');
    await until('the board again', () => source()?.link === 'live');
  });
});
