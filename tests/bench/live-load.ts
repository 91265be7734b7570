import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { type AddressInfo, createServer, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { setTimeout as wait } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { WebSocket } from 'ws';
import { encodeLine } from '../../firmware-protocol/encode-line.ts';
import { SEQUENCE_MODULUS, TIME_MODULUS_TICKS } from '../../firmware-protocol/lines.ts';
import { refillEngine } from '../engines/refill-engine.ts';
import { decodeCostPercent } from '../firmware-protocol/decode-cost.ts';
import { type AccuracyRow, accuracyRow } from './accuracy-row.ts';

const CHANNELS = 8;
const SAMPLE_RATE_HZ = 1000;
const CLOCK_HZ = 1_000_000;
const VIEWERS = 4;
const CHUNK_MS = 10;
const WARM_UP_MS = 6000;
const WINDOW_MS = 4000;
const BOUND_PERCENT = 10;
const LEAST_MESSAGES_PER_S = 20;
const LOW_KPA = 15;
const SPAN_KPA = 100;
const FULL_SCALE = 1023;
const MAIN = fileURLToPath(new URL('../../dist/server/main.js', import.meta.url));

/** Processor time of the built service with a board of 8 x 1000 samples/s and 4 viewers, each on its own connection. */
export async function liveLoadRow(windows: number): Promise<AccuracyRow> {
  const board = await startBoard();
  const data = await mkdtemp(join(tmpdir(), 'idlewright-bench-'));
  const child = spawn(
    process.execPath,
    [MAIN, '--port', '0', '--data', data, '--source', `tcp:127.0.0.1:${board.port}`],
    { stdio: ['ignore', 'pipe', 'inherit'] },
  );
  try {
    const url = await listening(child);
    const viewers = await Promise.all(Array.from({ length: VIEWERS }, () => view(url)));
    await wait(WARM_UP_MS);
    const percents: number[] = [];
    for (let window = 0; window < windows; window++) {
      const before = await cpuSeconds(child.pid!);
      const startMs = Date.now();
      await wait(WINDOW_MS);
      percents.push((100_000 * ((await cpuSeconds(child.pid!)) - before)) / (Date.now() - startMs));
    }
    const messages = viewers.reduce((sum, viewer) => sum + viewer.messages, 0);
    for (const viewer of viewers) viewer.socket.close();
    const sorted = [...percents].sort((a, b) => a - b);
    const median = sorted[sorted.length >> 1]!;
    return accuracyRow(
      `live service, ${CHANNELS} x ${SAMPLE_RATE_HZ} samples/s with ${VIEWERS} viewers, one core`,
      '%',
      percents.map((value, index) => ({ label: `window ${index + 1}`, value })),
      {
        pooled: median,
        bound: `< ${BOUND_PERCENT}`,
        // A service that measures nothing is not a fast one.
        holds:
          median < BOUND_PERCENT && messages > (LEAST_MESSAGES_PER_S * VIEWERS * windows * WINDOW_MS) / 1000,
        reference: `decoding the lines alone costs ${decodeCostPercent(SAMPLE_RATE_HZ, CHANNELS).toFixed(2)} %; ${messages} messages seen by the viewers`,
      },
    );
  } finally {
    child.kill('SIGTERM');
    await once(child, 'exit');
    board.close();
    await rm(data, { recursive: true, force: true });
  }
}

async function startBoard(): Promise<{ port: number; close: () => void }> {
  const recording = refillEngine({
    seed: 3,
    durationS: 20,
    sampleRateHz: SAMPLE_RATE_HZ,
    intakeAnglesDeg: [0, 630, 270, 180, 540, 450, 90, 360],
    rpm: 950,
    cycleScatter: 0.008,
    depthScatter: 0.03,
    noiseKpa: 0.15,
  });
  const rows = recording.timeS.length;
  const sockets = new Set<Socket>();
  const server = createServer((socket) => {
    sockets.add(socket);
    socket.on('error', () => {});
    const identity = encodeLine({
      kind: 'identity',
      protocolVersion: 1,
      boardId: 'bench-board',
      firmwareVersion: '1.0.0',
      sensorTypes: Array.from({ length: CHANNELS }, () => 'MPX4115A'),
      sampleRateHz: SAMPLE_RATE_HZ,
      clockRateHz: CLOCK_HZ,
      conversionTicks: 0,
      fullScaleCounts: FULL_SCALE,
    });
    // The link drops the first line, which may be half a one, and asks.
    socket.on('data', (bytes) => {
      if (bytes.toString('latin1').includes('i')) socket.write(`\n${identity}`);
    });
    let sent = 0;
    const startMs = Date.now();
    const timer = setInterval(() => {
      const due = Math.floor(((Date.now() - startMs) * SAMPLE_RATE_HZ) / 1000);
      let text = '';
      for (; sent < due; sent++) {
        const row = sent % rows;
        text += encodeLine({
          kind: 'sample',
          sequence: sent % SEQUENCE_MODULUS,
          timeTicks: (sent * (CLOCK_HZ / SAMPLE_RATE_HZ)) % TIME_MODULUS_TICKS,
          counts: recording.kpa.map((kpa) => Math.round(((kpa[row]! - LOW_KPA) / SPAN_KPA) * FULL_SCALE)),
        });
      }
      socket.write(text);
    }, CHUNK_MS);
    socket.on('close', () => {
      clearInterval(timer);
      sockets.delete(socket);
    });
  });
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  return {
    port: (server.address() as AddressInfo).port,
    close: () => {
      for (const socket of sockets) socket.destroy();
      server.close();
    },
  };
}

async function listening(child: ChildProcess): Promise<string> {
  for await (const line of createInterface({ input: child.stdout! })) {
    const found = /^listening on (http:\/\/\S+)/.exec(line);
    if (found) {
      child.stdout!.resume();
      return found[1]!;
    }
  }
  throw new Error('the service ended before it listened; run `npm run build` first');
}

async function view(url: string): Promise<{ socket: WebSocket; messages: number }> {
  const socket = new WebSocket(`${url.replace('http', 'ws')}/live`, { origin: url });
  const viewer = { socket, messages: 0 };
  socket.on('message', () => {
    viewer.messages++;
  });
  await once(socket, 'open');
  return viewer;
}

/** User and system time of a process so far [s]; from /proc, so this bench runs on Linux only. */
async function cpuSeconds(pid: number): Promise<number> {
  const fields = (await readFile(`/proc/${pid}/stat`, 'utf8')).split(') ')[1]!.split(' ');
  const ticksPerSecond = 100;
  return (Number(fields[11]) + Number(fields[12])) / ticksPerSecond;
}
