import { type AddressInfo, createServer, type Server, type Socket } from 'node:net';
import { afterEach, describe, expect, test } from 'vitest';
import { encodeLine } from '../../../firmware-protocol/encode-line.ts';
import { TcpSource } from '../../../server/board/tcp-source.ts';
import { HeardLink } from './heard-link.ts';
import { countsFor, TEST_IDENTITY, until } from './scripted-board.ts';

const links: HeardLink[] = [];
const servers: Server[] = [];

afterEach(async () => {
  await Promise.all(links.splice(0).map((link) => link.runner.stop()));
  for (const server of servers.splice(0)) server.close();
});

/** A bridge that hands the bytes of a board over TCP. */
async function bridge(port = 0) {
  const sockets: Socket[] = [];
  const server = createServer((socket) => {
    sockets.push(socket);
    socket.on('error', () => {});
    socket.on('data', (bytes) => {
      if (bytes.toString('latin1').includes('i*')) socket.write(encodeLine(TEST_IDENTITY).repeat(2));
    });
  });
  await new Promise<void>((resolve) => server.listen(port, '127.0.0.1', resolve));
  servers.push(server);
  return { server, sockets, port: (server.address() as AddressInfo).port };
}

function listen(host: string, port: number): HeardLink {
  const link = new HeardLink(new TcpSource(host, port));
  links.push(link);
  link.runner.start();
  return link;
}

const sample = (sequence: number) =>
  encodeLine({ kind: 'sample', sequence, timeTicks: sequence * 5_000, counts: countsFor(sequence, 2) });

describe('a board behind a TCP bridge', () => {
  test('is live, and goes on by itself after the bridge went away and came back', async () => {
    const first = await bridge();
    const link = listen('127.0.0.1', first.port);
    await until('live', () => link.state.phase === 'live');
    first.sockets[0]?.write(sample(1) + sample(2).slice(0, 9));
    await until('sample', () => link.samples.length === 1);
    first.server.close();
    first.sockets[0]?.destroy();
    await until('lost', () => link.state.errorCode === 'source-unplugged');
    await until('refused', () => link.state.errorCode === 'source-refused');
    const second = await bridge(first.port);
    await until('live again', () => link.state.phase === 'live');
    second.sockets[0]?.write(sample(3));
    await until('another sample', () => link.samples.length === 2);
    expect(link.samples.map(({ sequence }) => sequence)).toEqual([1, 3]);
    expect(link.breaks).toBe(1);
  });

  test('a name that does not exist is not found', async () => {
    const link = listen('no-such-host.invalid', 3333);
    await until('not found', () => link.state.errorCode !== null);
    expect(link.state.errorCode).toBe('source-not-found');
  });

  test('a bridge that says goodbye is a lost link', async () => {
    const { port, sockets } = await bridge();
    const link = listen('127.0.0.1', port);
    await until('live', () => link.state.phase === 'live');
    sockets[0]?.end();
    await until('lost', () => link.errorCodes.has('source-unplugged'));
    await until('live again', () => link.state.phase === 'live');
  });
});
