import { decodeLine } from '../../firmware-protocol/decode-line.ts';
import { encodeCommand } from '../../firmware-protocol/encode-command.ts';
import type { AmbientLine, IdentityLine, NoticeLine, SampleLine } from '../../firmware-protocol/lines.ts';
import type { Clock } from '../clock.ts';
import { initialLink, nextLink } from './board-link.ts';
import type { ByteSource, ByteStream, StreamEnd } from './byte-source.ts';
import { LineSplitter } from './line-splitter.ts';
import type { LinkEffect, LinkEvent, LinkState, LinkTimer } from './link-types.ts';

export interface LinkListener {
  /** The phase, the board or the error changed. */
  onLinkState(state: LinkState): void;
  onIdentified(line: IdentityLine): void;
  /** `arrivedMs` is the steady clock when the chunk that completed the line came in. */
  onSample(line: SampleLine, arrivedMs: number): void;
  onAmbient(line: AmbientLine): void;
  onNotice(line: NoticeLine): void;
  /** Samples before and after do not join. */
  onBreak(): void;
  /** Something to count: bad lines by reason, dropped bytes, opens, losses. */
  onCount(counter: string): void;
  /** The system's own words about a stream that ended or did not open, for the log. */
  onTrouble(end: StreamEnd): void;
}

/** A driver that hangs while closing must not hold up the next open for longer. */
const CLOSE_PATIENCE_MS = 1_000;

/** Carries out what the link state machine asks for: one stream at a time, one timer of each name. */
export class LinkRunner {
  readonly source: ByteSource;
  readonly #listener: LinkListener;
  readonly #clock: Clock;
  #state: LinkState;
  #stream: ByteStream | null = null;
  /** Of the present stream; whatever an earlier one still says is not listened to. */
  #generation = 0;
  #closing: Promise<void> = Promise.resolve();
  readonly #timers = new Map<LinkTimer, () => void>();
  /** Steady clock when the newest chunk came in [ms]. */
  #arrivedMs = 0;

  constructor(source: ByteSource, listener: LinkListener, clock: Clock) {
    this.source = source;
    this.#listener = listener;
    this.#clock = clock;
    this.#state = initialLink(source.baudRates ?? []);
  }

  get state(): LinkState {
    return this.#state;
  }

  start(): void {
    this.#dispatch({ kind: 'start' });
  }

  /** Resolves when the device is free again. */
  async stop(): Promise<void> {
    this.#dispatch({ kind: 'stop' });
    await this.#closing;
  }

  #dispatch(event: LinkEvent): void {
    const before = this.#state;
    const [after, effects] = nextLink(before, event);
    this.#state = after;
    for (const effect of effects) this.#run(effect);
    if (
      after.phase !== before.phase ||
      after.errorCode !== before.errorCode ||
      after.identity !== before.identity
    ) {
      this.#listener.onLinkState(after);
    }
  }

  #run(effect: LinkEffect): void {
    switch (effect.kind) {
      case 'open':
        this.#closeStream();
        void this.#open(effect.baudRate);
        return;
      case 'close':
        this.#closeStream();
        return;
      case 'write':
        this.#stream?.write(encodeCommand(effect.command));
        return;
      case 'set-timer':
        this.#setTimer(effect.timer, effect.delayMs);
        return;
      case 'clear-timers':
        for (const cancel of this.#timers.values()) cancel();
        this.#timers.clear();
        return;
      case 'identified':
        this.#listener.onIdentified(effect.line);
        return;
      case 'break':
        this.#listener.onBreak();
        return;
      case 'deliver':
        this.#deliver(effect);
    }
  }

  #deliver({ line }: Extract<LinkEffect, { kind: 'deliver' }>): void {
    if (line.kind === 'sample') this.#listener.onSample(line, this.#arrivedMs);
    else if (line.kind === 'ambient') this.#listener.onAmbient(line);
    else if (line.kind === 'notice') this.#listener.onNotice(line);
  }

  async #open(baudRate: number | null): Promise<void> {
    const generation = ++this.#generation;
    await this.#closing;
    if (generation !== this.#generation) return;
    const current = () => generation === this.#generation;
    const splitter = new LineSplitter({
      onLine: (text) => {
        if (!current()) return;
        const decoded = decodeLine(text);
        if (decoded.ok) {
          this.#dispatch({ kind: 'line', line: decoded.line });
        } else {
          this.#listener.onCount(decoded.reason);
          this.#dispatch({ kind: 'bad-line', reason: decoded.reason });
        }
      },
      onDropped: (reason) => {
        this.#listener.onCount(reason);
        if (current()) this.#dispatch({ kind: 'bad-line', reason });
      },
    });
    const opened = await this.source.open(
      {
        onBytes: (chunk) => {
          if (!current()) return;
          this.#arrivedMs = this.#clock.nowMs();
          splitter.push(chunk);
        },
        onClose: (end) => {
          splitter.end();
          if (!current()) return;
          this.#generation++;
          this.#stream = null;
          this.#trouble(end, 'connections-lost');
        },
      },
      ...(baudRate === null ? [] : [baudRate]),
    );
    if (!opened.ok) {
      if (current()) this.#trouble(opened.end, 'failed-opens');
      return;
    }
    if (!current()) {
      // Stopped or lost while it was opening: nobody else will close it.
      this.#waitForClose(opened.stream);
      return;
    }
    this.#stream = opened.stream;
    this.#listener.onCount('opens');
    this.#dispatch({ kind: 'opened' });
  }

  #trouble(end: StreamEnd, counter: string): void {
    this.#listener.onCount(counter);
    this.#listener.onTrouble(end);
    this.#dispatch({ kind: 'ended', end });
  }

  #closeStream(): void {
    this.#generation++;
    const stream = this.#stream;
    this.#stream = null;
    if (stream !== null) this.#waitForClose(stream);
  }

  #waitForClose(stream: ByteStream): void {
    let cancel: () => void = () => {};
    const patience = new Promise<void>((resolve) => {
      cancel = this.#clock.after(CLOSE_PATIENCE_MS, resolve);
    });
    const closed = stream.close().then(cancel, cancel);
    this.#closing = Promise.all([this.#closing, Promise.race([closed, patience])]).then(() => undefined);
  }

  #setTimer(timer: LinkTimer, delayMs: number): void {
    this.#timers.get(timer)?.();
    const cancel = this.#clock.after(delayMs, () => {
      this.#timers.delete(timer);
      this.#dispatch({ kind: 'timer', timer });
    });
    this.#timers.set(timer, cancel);
  }
}
