import { randomBytes } from 'node:crypto';
import { once } from 'node:events';
import { type AddressInfo, connect } from 'node:net';
import WebSocket from 'ws';
import { type SeededRandom, seededRandom } from '../engines/seeded-random.ts';
import { appBench } from '../server/http/app-bench.ts';
import { type FuzzReport, FuzzTally } from './fuzz-report.ts';
import { mutated } from './mutations.ts';

const MESSAGES = [
  '{"type":"update"}',
  '{"type":"hello","liveVersion":1}',
  '[]',
  'ping',
  '',
  '{"type":"event","event":"setup","setup":{"cylinders":8}}',
];
/** After so many messages the well-behaved viewer is asked whether it still hears everything. */
const LOOK_EVERY = 200;

/** A viewer that says anything at all, in frames good and bad, changes nothing and harms no other viewer. */
export async function fuzzLive(inputs: number, seed: number): Promise<FuzzReport> {
  const random = seededRandom(seed, 306);
  const tally = new FuzzTally();
  const bench = await appBench();
  await bench.app.listen({ host: '127.0.0.1', port: 0 });
  const { port } = bench.app.server.address() as AddressInfo;
  const setup = JSON.stringify(bench.session.setup);
  const quiet = new WebSocket(`ws://127.0.0.1:${port}/live`);
  let heard = 0;
  quiet.on('message', () => {
    heard++;
  });
  await once(quiet, 'open');
  try {
    while (tally.inputs < inputs) {
      if (random.uniform() < 0.3) await rawFrames(port, random, tally);
      else await wholeMessages(port, random, tally);
      if (tally.inputs % LOOK_EVERY < 20) {
        const before = heard;
        bench.source.samples(3);
        await bench.clock.advance(50);
        for (let turns = 0; heard === before && turns < 5_000; turns++)
          await new Promise((next) => setTimeout(next, 2));
        if (heard === before) tally.fail('the other viewer hears nothing any more', String(tally.inputs));
      }
    }
    if (JSON.stringify(bench.session.setup) !== setup) tally.fail('a viewer changed the set-up', '');
    await gone(() => bench.hub.viewers === 1);
    if (bench.hub.viewers !== 1) tally.fail(`${bench.hub.viewers - 1} dead viewers keep their seat`, '');
  } finally {
    quiet.terminate();
    await bench.app.close();
  }
  return tally;
}

/** A connection that sends a handful of messages of any kind and length, and leaves in any way. */
async function wholeMessages(port: number, random: SeededRandom, tally: FuzzTally): Promise<void> {
  const socket = new WebSocket(`ws://127.0.0.1:${port}/live`);
  socket.on('error', () => {});
  await Promise.race([once(socket, 'open'), once(socket, 'close')]);
  if (socket.readyState !== socket.OPEN) {
    tally.fail('no seat for a viewer', '');
    tally.inputs++;
    return;
  }
  for (let count = 1 + random.index(20); count > 0 && socket.readyState === socket.OPEN; count--) {
    const text = mutated(MESSAGES[random.index(MESSAGES.length)]!, MESSAGES, random);
    if (random.uniform() < 0.1) socket.ping(Buffer.from(text).subarray(0, 125));
    else
      socket.send(random.uniform() < 0.05 ? text.padEnd(random.index(3_000)) : text, {
        binary: random.uniform() < 0.3,
      });
    tally.inputs++;
    tally.taken++;
  }
  if (random.uniform() < 0.5) socket.terminate();
  else socket.close(1000, 'bye');
  await gone(() => socket.readyState === socket.CLOSED);
}

/** After a good handshake, bytes that are no frames, or frames that are against RFC 6455. */
async function rawFrames(port: number, random: SeededRandom, tally: FuzzTally): Promise<void> {
  const socket = connect(port, '127.0.0.1');
  socket.on('error', () => {});
  let closed = false;
  socket.on('close', () => {
    closed = true;
  });
  socket.write(
    `GET /live HTTP/1.1\r\nHost: 127.0.0.1:${port}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n` +
      `Sec-WebSocket-Key: ${randomBytes(16).toString('base64')}\r\nSec-WebSocket-Version: 13\r\n\r\n`,
  );
  await Promise.race([once(socket, 'data'), once(socket, 'close')]);
  for (let count = 1 + random.index(5); count > 0 && !closed; count--) {
    const length = random.index(20);
    const frame = Uint8Array.from({ length: 2 + length }, () => random.index(256));
    // Half of them look like a masked frame of the right length.
    if (random.uniform() < 0.5) frame[1] = 0x80 | Math.max(0, length - 4);
    socket.write(frame);
    tally.inputs++;
  }
  socket.resume();
  if (random.uniform() < 0.5) socket.destroy();
  else socket.end();
  await gone(() => closed);
  socket.destroy();
}

async function gone(holds: () => boolean): Promise<void> {
  for (let turns = 0; !holds() && turns < 1_000; turns++) await new Promise((next) => setTimeout(next, 1));
}
