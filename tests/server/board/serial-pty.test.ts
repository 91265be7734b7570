import { rmSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { encodeLine } from '../../../firmware-protocol/encode-line.ts';
import { SerialSource } from '../../../server/board/serial-source.ts';
import { HeardLink } from './heard-link.ts';
import {
  type BoardScript,
  countsFor,
  freshPtyFolder,
  noise,
  ScriptedBoard,
  sleep,
  TEST_IDENTITY,
  until,
} from './scripted-board.ts';

let folder = '';
const boards: ScriptedBoard[] = [];
const links: HeardLink[] = [];

beforeAll(() => {
  folder = freshPtyFolder();
});

afterEach(async () => {
  await Promise.all(links.splice(0).map((link) => link.runner.stop()));
  await Promise.all(boards.splice(0).map((board) => board.unplug()));
});

afterAll(() => rmSync(folder, { recursive: true, force: true }));

async function plugIn(script: BoardScript = {}, name = 'ttyBoard'): Promise<ScriptedBoard> {
  const board = await ScriptedBoard.plugIn(join(folder, name), script);
  boards.push(board);
  return board;
}

function listen(path = join(folder, 'ttyBoard')): HeardLink {
  const link = new HeardLink(new SerialSource(path));
  links.push(link);
  link.runner.start();
  return link;
}

/** Every sample that got through is exactly one that was sent. */
function expectNothingGlued(link: HeardLink): void {
  for (const sample of link.samples) {
    expect(sample.counts).toEqual(countsFor(sample.sequence, TEST_IDENTITY.sensorTypes.length));
  }
}

describe('a real serial port on a real pseudo-terminal', () => {
  test('a board that answers is live, told to start, and its samples arrive in order', async () => {
    const board = await plugIn();
    const link = listen();
    await until('live', () => link.state.phase === 'live');
    await until('start', () => board.commands.some((command) => command.kind === 'start'));
    board.sendSamples(100);
    await until('100 samples', () => link.samples.length === 100);
    expect(link.samples.map((sample) => sample.sequence)).toEqual(
      Array.from({ length: 100 }, (_, n) => n + 1),
    );
    expectNothingGlued(link);
    expect(link.state.identity).toEqual(TEST_IDENTITY);
  });

  const cuts: [string, number][] = [
    ['before its first byte', 0],
    ['after its first byte', 1],
    ['in its first half', 7],
    ['in its second half', 15],
    ['before its checksum', -6],
    ['in its checksum', -3],
    ['before its line ending', -1],
  ];
  test.each(cuts)(
    'a cable pulled in a line %s and put back: nothing glued, nothing invented',
    async (_where, cut) => {
      const board = await plugIn();
      const link = listen();
      await until('live', () => link.state.phase === 'live');
      board.sendSamples(50);
      const torn = board.nextSample();
      board.sendRaw(torn.slice(0, cut < 0 ? torn.length + cut : cut));
      await until('50 samples', () => link.samples.length === 50);
      await sleep(20);
      await board.unplug();
      await until('lost', () => link.state.phase === 'lost' || link.state.phase === 'opening');
      expect(link.state.errorCode).toBe('source-unplugged');
      expect(link.breaks).toBe(1);

      const again = await plugIn();
      again.sequence = board.sequence;
      again.timeTicks = board.timeTicks;
      // What the port hands over first is the rest of a line that began before it was open.
      again.sendRaw(torn.slice(cut < 0 ? torn.length + cut : cut));
      await until('live again', () => link.state.phase === 'live');
      again.sendSamples(50);
      await until('100 samples', () => link.samples.length === 100);
      expectNothingGlued(link);
      expect(link.samples.map((sample) => sample.sequence)).not.toContain(51);
      expect(link.state.errorCode).toBeNull();
    },
  );

  test('ten pulls in a row while samples stream: each time it goes on by itself', async () => {
    const link = listen();
    for (let pull = 0; pull < 10; pull++) {
      const board = await plugIn({ samples: true });
      const before = link.samples.length;
      await until(
        `samples after plugging in for the ${pull + 1}. time`,
        () => link.samples.length > before + 8,
      );
      await board.unplug();
      await until('lost', () => link.state.phase !== 'live');
    }
    expectNothingGlued(link);
    // More where a busy computer took a pause for a stall.
    expect(link.breaks).toBeGreaterThanOrEqual(10);
    expect(link.counters.opens).toBeGreaterThanOrEqual(10);
  });

  test('a port that is not there: says so, and finds the board when it comes', async () => {
    const link = listen();
    await until('lost', () => link.state.phase === 'lost');
    expect(link.state.errorCode).toBe('source-not-found');
    await plugIn();
    await until('live', () => link.state.phase === 'live');
  });

  test('an open port without data: says so after the bootloader had its time, goes on trying, and takes the board when it wakes', async () => {
    const board = await plugIn({ mute: true });
    const link = listen();
    await until('silent', () => link.errorCodes.has('board-silent'));
    board.script.mute = false;
    await until('live', () => link.state.phase === 'live');
    expect(link.state.errorCode).toBeNull();
  });

  test.each([
    [500_000, 1],
    [115_200, 2],
    [1_000_000, 3],
  ])('a board at %i baud is found', async (baudRate, opens) => {
    await plugIn({ baudRate, samples: true });
    const link = listen();
    await until('live', () => link.state.phase === 'live');
    await until('samples', () => link.samples.length > 20);
    expect(link.counters.opens).toBe(opens);
    if (opens > 1) expect(link.errorCodes).toContain('board-unreadable');
    expectNothingGlued(link);
  });

  test('binary noise: says that it cannot be read, counts it, and no sample comes of it', async () => {
    await plugIn({ mute: true, noise: () => noise(2_000) });
    const link = listen();
    await until('unreadable', () => link.errorCodes.has('board-unreadable'));
    await until('other speeds', () => (link.counters.opens ?? 0) >= 4);
    expect(link.samples).toEqual([]);
    expect(link.identities).toEqual([]);
    const counted = Object.values(link.counters).reduce((sum, count) => sum + count, 0);
    expect(counted).toBeGreaterThan(20);
  });

  test('an endless line: memory stays bounded, it is counted, and the board is heard once it ends', async () => {
    const board = await plugIn();
    const link = listen();
    await until('live', () => link.state.phase === 'live');
    for (let kilobytes = 0; kilobytes < 2_000; kilobytes += 50) {
      board.sendRaw('7'.repeat(50_000));
      await sleep(1);
    }
    await until('counted', () => (link.counters['endless-line'] ?? 0) > 10);
    board.sendRaw('\n');
    board.sendSamples(20);
    await until('20 samples', () => link.samples.length === 20);
    expectNothingGlued(link);
  });

  const future = 'I,2,board-x,9.9,500,1000000,100,1023,2,a,b';
  const none = 'I,1,board-x,1.0,500,1000000,100,1023,0';
  const many = 'I,1,board-x,1.0,500,1000000,100,1023,9,a,a,a,a,a,a,a,a,a';
  test.each([
    ['a newer protocol', future, 'board-newer-protocol'],
    ['zero channels', none, 'board-zero-channels'],
    ['too many channels', many, 'board-too-many-channels'],
  ])(
    '%s is refused with its own sentence, and a good board afterwards is taken',
    async (_what, body, code) => {
      const board = await plugIn({ identityText: withChecksum(body) });
      const link = listen();
      await until('refused', () => link.state.phase === 'refused');
      expect(link.state.errorCode).toBe(code);
      board.sendSamples(10);
      await sleep(50);
      expect(link.samples).toEqual([]);
      await board.unplug();
      await plugIn();
      await until('live', () => link.state.phase === 'live');
      expect(link.state.errorCode).toBeNull();
    },
  );

  test('a port that another program holds: says so, and takes it when it is free', async () => {
    await plugIn();
    const holder = new HeardLink(new SerialSource(join(folder, 'ttyBoard')));
    holder.runner.start();
    await until('held', () => holder.state.phase === 'live');
    const link = listen();
    await until('in use', () => link.state.errorCode === 'source-in-use');
    await holder.runner.stop();
    await until('live', () => link.state.phase === 'live');
  });

  test('a port that this user may not open: says so, and takes it when it is allowed', async () => {
    await plugIn();
    const isRoot = process.geteuid?.() === 0;
    const NOBODY = 65_534;
    if (isRoot) process.seteuid?.(NOBODY);
    let link: HeardLink;
    try {
      link = listen();
      await until('refused', () => link.state.errorCode !== null);
      expect(link.state.errorCode).toBe('source-no-permission');
    } finally {
      if (isRoot) process.seteuid?.(0);
    }
    await until('live', () => link.state.phase === 'live');
  });

  test('a board that resets while it is live begins its count anew and stays live', async () => {
    const board = await plugIn();
    const link = listen();
    await until('live', () => link.state.phase === 'live');
    board.sendSamples(30);
    board.sendRaw('S,31,15');
    board.sendRaw('\r\nboot loader 3\r\n');
    board.reset();
    board.sendSamples(5);
    await until('35 samples', () => link.samples.length === 35);
    expect(link.samples.slice(-5).map((sample) => sample.sequence)).toEqual([1, 2, 3, 4, 5]);
    expect(link.state.phase).toBe('live');
    expectNothingGlued(link);
  });

  test('a board that stalls is asked to go on, and does', async () => {
    const board = await plugIn();
    const link = listen();
    await until('live', () => link.state.phase === 'live');
    board.sendSamples(10);
    await until('stalled', () => link.state.phase === 'stalled');
    expect(link.state.errorCode).toBe('board-stalled');
    expect(link.breaks).toBe(1);
    await until('asked again', () => board.commands.filter(({ kind }) => kind === 'start').length >= 2);
    board.sendSamples(1);
    await until('live', () => link.state.phase === 'live');
  });

  test('ambient lines and notices come through', async () => {
    const board = await plugIn();
    const link = listen();
    await until('live', () => link.state.phase === 'live');
    board.sendRaw(encodeLine({ kind: 'ambient', pressurePa: 98_765, temperatureCelsius: 21.5 }));
    board.sendRaw(encodeLine({ kind: 'notice', notice: 'overflow', count: 3 }));
    await until('both', () => link.ambients.length === 1 && link.notices.length === 1);
    expect(link.ambients[0]?.pressurePa).toBe(98_765);
    expect(link.notices[0]).toEqual({ kind: 'notice', notice: 'overflow', count: 3 });
  });

  test('stopping frees the port at once', async () => {
    await plugIn();
    const first = listen();
    await until('live', () => first.state.phase === 'live');
    await first.runner.stop();
    const second = listen();
    await until('live', () => second.state.phase === 'live');
    expect(second.counters.opens).toBe(1);
    expect(second.counters['failed-opens']).toBeUndefined();
  });
});

/** CRC-16/IBM-3740 bit by bit, as the catalogue describes it, for lines that our encoder refuses to make. */
function withChecksum(body: string): string {
  let crc = 0xffff;
  for (const byte of Buffer.from(body, 'latin1')) {
    crc ^= byte << 8;
    for (let bit = 0; bit < 8; bit++) crc = (crc & 0x8000 ? (crc << 1) ^ 0x1021 : crc << 1) & 0xffff;
  }
  return `${body}*${crc.toString(16).toUpperCase().padStart(4, '0')}\n`;
}
