import { fileURLToPath } from 'node:url';
import fastifyStatic from '@fastify/static';
import fastifyWebsocket from '@fastify/websocket';
import Fastify from 'fastify';
import Type from 'typebox';
import { Compile } from 'typebox/compile';
import { CapturePlan, type CaptureSummary } from '../../../server/contract/captures.ts';
import { CaptureStart, SetupPatch } from '../../../server/contract/http.ts';
import type { Job } from '../../../server/contract/jobs-views.ts';
import {
  Hello,
  LiveEvent,
  type LiveMessage,
  Pulses,
  Snapshot,
  Update,
} from '../../../server/contract/live.ts';
import { PracticePatch } from '../../../server/contract/practice.ts';
import { practiceScene, pulsesOf, type Scene, settledGapsKpa, updateOf } from './fake-scene.ts';

const CLIENT_FOLDER = fileURLToPath(new URL('../../../dist/client', import.meta.url));
const UPDATE_EVERY_MS = 40;
/** Part of the way to a new place that the shown differences go with each update. */
const GLIDE = 0.12;

const outgoing = Compile(Type.Union([Hello, Snapshot, Update, Pulses, LiveEvent]));
const setupPatch = Compile(SetupPatch);
const practicePatch = Compile(PracticePatch);
const captureStart = Compile(CaptureStart);
const capturePlan = Compile(CapturePlan);

/** Serves the built page and scripted live messages that are checked against the contract. */
export class FakeServer {
  scene: Scene = practiceScene();
  startId = 'start-1';
  /** Sends readings while true; the connection stays open when false. */
  sending = true;
  /** How often a screen was greeted since the server was made. */
  greetings = 0;
  /** Takes no more screens while true. */
  crowded = false;
  captures: CaptureSummary[] = [];
  /** The job that is asked for by any id, or none. */
  job: Job | null = null;
  /** Bodies of the changes that the page asked for. */
  readonly asked: { readonly path: string; readonly body: unknown }[] = [];
  /** The next change is refused with this body. */
  refusal: { code: string; message: string; whatToDo: string } | null = null;
  #app = Fastify();
  #timer: ReturnType<typeof setInterval> | undefined;
  #shown: number[] = [];
  #timeS = 100;
  #cycles = 0;
  #chance = lehmer(20_261_125);
  #port = 0;

  get address(): string {
    return `http://127.0.0.1:${this.#port}/`;
  }

  get viewers(): number {
    return this.clients.length;
  }

  get clients(): { terminate(): void }[] {
    return [...(this.#app.websocketServer?.clients ?? [])];
  }

  async start(port = 0): Promise<this> {
    const app = Fastify({ forceCloseConnections: true });
    this.#app = app;
    app.addHook('onSend', async (_request, reply) => {
      reply.header('content-security-policy', "default-src 'self'");
    });
    await app.register(fastifyWebsocket);
    app.get('/live', { websocket: true }, (socket) => {
      if (this.crowded) {
        socket.close(1013, 'too-many-viewers');
        return;
      }
      this.greetings++;
      for (const message of this.#greeting()) socket.send(checked(message));
    });
    app.get('/api/visits/:id', (_request, reply) => this.job ?? reply.status(404).send());
    app.get('/api/health', () => ({ status: 'ok' }));
    app.patch('/api/setup', (request, reply) => {
      if (this.#refuses(request.url, request.body, setupPatch.Check(request.body)))
        return reply.status(409).send(this.#take());
      this.scene.setup = { ...this.scene.setup, ...(request.body as SetupPatch) };
      this.publish({ type: 'event', event: 'setup', setup: this.scene.setup });
      return this.scene.setup;
    });
    app.patch('/api/practice', (request, reply) => {
      if (this.#refuses(request.url, request.body, practicePatch.Check(request.body)))
        return reply.status(409).send(this.#take());
      const { balanceScrewTurns, ...rest } = request.body as PracticePatch;
      const { practice } = this.scene;
      const balanceScrews = practice.balanceScrews.map((screw, i) => ({
        ...screw,
        turns: balanceScrewTurns?.[i] ?? screw.turns,
      }));
      this.scene.practice = { ...practice, ...(rest as Partial<typeof practice>), balanceScrews };
      this.scene.running = this.scene.practice.running;
      this.publish({ type: 'event', event: 'practice', practice: this.scene.practice });
      return this.scene.practice;
    });
    app.post('/api/practice/blip', (request, reply) => {
      this.asked.push({ path: request.url, body: null });
      return reply.status(204).send();
    });
    app.post('/api/captures', (request, reply) => {
      if (this.#refuses(request.url, request.body, captureStart.Check(request.body)))
        return reply.status(409).send(this.#take());
      return reply.status(201).send(this.#capture((request.body as CaptureStart).label));
    });
    app.post('/api/captures/planned', (request, reply) => {
      if (this.#refuses(request.url, request.body, capturePlan.Check(request.body)))
        return reply.status(409).send(this.#take());
      const plan = request.body as CapturePlan;
      this.scene.plannedCapture = {
        ...plan,
        phase: 'waiting',
        startsInS: null,
        elapsedS: 0,
        endsWithinS: 60,
        expandedKpa: null,
        sureAtKpa: 0.25,
      };
      return reply.status(202).send(plan);
    });
    app.delete('/api/captures/planned', (_request, reply) => {
      this.scene.plannedCapture = null;
      return reply.status(204).send();
    });
    app.post<{ Params: { id: string } }>('/api/captures/:id/stop', (request, reply) => {
      if (this.#refuses(request.url, request.body, true)) return reply.status(409).send(this.#take());
      const capture = this.captures.find(({ id }) => id === request.params.id)!;
      const stopped: CaptureSummary = { ...capture, state: 'complete', durationS: 12.4, samples: 6200 };
      this.captures = this.captures.map((each) => (each.id === stopped.id ? stopped : each));
      this.publish({ type: 'event', event: 'capture', capture: stopped });
      return stopped;
    });
    await app.register(fastifyStatic, { root: CLIENT_FOLDER });
    await app.listen({ host: '127.0.0.1', port });
    const bound = app.server.address();
    this.#port = typeof bound === 'object' && bound !== null ? bound.port : port;
    this.#timer = setInterval(() => this.#tick(), UPDATE_EVERY_MS);
    return this;
  }

  async stop(): Promise<void> {
    clearInterval(this.#timer);
    for (const client of this.#app.websocketServer.clients) client.terminate();
    await this.#app.close();
  }

  /** The same address answers again, as another start of the program. */
  async restart(startId: string): Promise<void> {
    const port = this.#port;
    await this.stop();
    this.startId = startId;
    this.#timeS = 5;
    this.#cycles = 0;
    await this.start(port);
  }

  publish(message: LiveMessage): void {
    const text = checked(message);
    for (const client of this.#app.websocketServer.clients) client.send(text);
  }

  /** Anything at all, as a broken program might send it. */
  sendRaw(text: string): void {
    for (const client of this.#app.websocketServer.clients) client.send(text);
  }

  /** Everything as it is, to every screen. */
  publishAll(): void {
    for (const message of this.#greeting()) this.publish(message);
  }

  /** Fills the chart at once: as many seconds of readings as are asked for. */
  runAhead(seconds: number): void {
    for (let i = 0; i < seconds * 8; i++) this.#publishUpdate(0.125);
  }

  addCapture(capture: Partial<CaptureSummary>): void {
    this.captures = [{ ...this.#blankCapture('before'), state: 'complete', ...capture }, ...this.captures];
  }

  #tick(): void {
    if (this.sending) this.#publishUpdate(UPDATE_EVERY_MS / 1000);
    else this.#timeS += UPDATE_EVERY_MS / 1000;
  }

  #publishUpdate(stepS: number): void {
    this.#timeS += stepS;
    this.#cycles = Math.floor((this.#timeS * this.scene.idleRpm) / 120);
    const wanted = settledGapsKpa(this.scene);
    if (this.#shown.length !== wanted.length) this.#shown = wanted.map((gap) => gap * 1.8);
    this.#shown = this.#shown.map((gap, cyl) => gap + GLIDE * (stepS / 0.04) ** 0.5 * (wanted[cyl]! - gap));
    this.publish(updateOf(this.scene, this.#timeS, this.#cycles, this.#chance, this.#shown));
    this.publish(pulsesOf(this.scene, this.#timeS));
  }

  #greeting(): LiveMessage[] {
    return [
      { type: 'hello', liveVersion: 1, serverStartId: this.startId, softwareVersion: '0.1.0' },
      {
        type: 'snapshot',
        source: this.scene.source,
        setup: this.scene.setup,
        update: null,
        captures: this.captures,
        practice: this.scene.source.practice ? this.scene.practice : null,
      },
    ];
  }

  #refuses(path: string, body: unknown, valid: boolean): boolean {
    if (!valid) throw new Error(`The page sent ${JSON.stringify(body)} to ${path}`);
    this.asked.push({ path, body });
    return this.refusal !== null;
  }

  #take() {
    const refusal = this.refusal;
    this.refusal = null;
    return refusal;
  }

  #blankCapture(label: CaptureSummary['label']): CaptureSummary {
    const gaps = settledGapsKpa(this.scene);
    return {
      id: `capture-${this.captures.length + 1}`,
      label,
      state: 'recording',
      practice: this.scene.source.practice,
      sourceAddress: this.scene.source.address,
      startedAtMs: Date.now(),
      durationS: 0,
      samples: 0,
      cylinders: gaps.length,
      spreadKpa: Math.max(...gaps) - Math.min(...gaps),
      spreadExpandedKpa: 0.2,
      gapsKpa: gaps,
      idleRpm: this.scene.idleRpm,
      roughnessScore: 24,
      softwareVersion: '0.1.0',
    };
  }

  #capture(label: CaptureSummary['label']): CaptureSummary {
    const capture = this.#blankCapture(label);
    this.captures = [capture, ...this.captures];
    this.publish({ type: 'event', event: 'capture', capture });
    return capture;
  }
}

function checked(message: LiveMessage): string {
  if (!outgoing.Check(message)) {
    throw new Error(
      `Not a message of the contract: ${JSON.stringify([...outgoing.Errors(message)].slice(0, 3))}`,
    );
  }
  return JSON.stringify(message);
}

/** Lehmer generator of Park & Miller ('minimal standard', CACM 31(10), 1988). */
function lehmer(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 48_271) % 2_147_483_647;
    return state / 2_147_483_647;
  };
}
