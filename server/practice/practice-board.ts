import { decodeCommand } from '../../firmware-protocol/decode-command.ts';
import { encodeLine } from '../../firmware-protocol/encode-line.ts';
import { MAX_NOTICE_COUNT } from '../../firmware-protocol/line-limits.ts';
import type { BoardCommand, BoardNotice, IdentityLine } from '../../firmware-protocol/lines.ts';
import { PROTOCOL_VERSION, SEQUENCE_MODULUS, TIME_MODULUS_TICKS } from '../../firmware-protocol/lines.ts';
import type { PracticeBench, PracticeFrame } from './practice-bench.ts';

/**
 * The board between the practice bench and the line: identity, samples, ambient lines and notices, commands, as
 * PROTOCOL.md has them. It is switched on when it is made. Time comes in with every call of `run`.
 */
export class PracticeBoard {
  #bench: PracticeBench;
  /** Steady clock [ms] that belongs to the bench's time 0. */
  #benchZeroMs = 0;
  #lastRunMs: number;
  /** Time of the bench at power-up [s]. */
  #bootS = 0;
  /** Time that passed on the board's clock while the bench stood still [s]. */
  #lostS = 0;
  #sequence = 0;
  #nextAmbientS = 0;
  #sampling = true;
  #out = '';
  readonly #notices = new Map<BoardNotice, number>();

  /** @param bench with a full scale, that is, with raw counts */
  constructor(bench: PracticeBench, nowMs: number) {
    this.#bench = bench;
    this.#lastRunMs = nowMs;
    this.#powerUp();
  }

  /** Puts the hoses on another engine; the board starts anew. */
  exchange(bench: PracticeBench): void {
    this.#bench = bench;
    this.#powerUp();
  }

  /** Carries the engine on to now. @returns the text that the board has sent since the last call */
  run(nowMs: number): string {
    this.#lastRunMs = nowMs;
    const dueS = (nowMs - this.#benchZeroMs) / 1000;
    if (dueS - this.#bench.timeS > MAX_CATCH_UP_S) this.#loseTime(dueS - this.#bench.timeS);
    const frames = this.#bench.advance((nowMs - this.#benchZeroMs) / 1000);
    for (const frame of frames) this.#sample(frame);
    const text = this.#out;
    this.#out = '';
    return text;
  }

  /** One or more commands, each with its line ending. The answer comes with the next `run`. */
  command(text: string): void {
    for (const line of text.split('\n')) {
      if (line.trim() === '') continue;
      const decoded = decodeCommand(line);
      if (!decoded.ok || !this.#obey(decoded.command)) this.#notice('bad-command', 1);
    }
  }

  #obey(command: BoardCommand): boolean {
    if (command.kind === 'rate') {
      const { sampleRateHz } = command;
      if (sampleRateHz < MIN_PRACTICE_RATE_HZ || sampleRateHz > MAX_PRACTICE_RATE_HZ) return false;
      this.#bench.setSampleRate(sampleRateHz);
    }
    if (command.kind === 'start') this.#sampling = true;
    if (command.kind === 'stop') this.#sampling = false;
    this.#out += encodeLine(this.#identity());
    return true;
  }

  #powerUp(): void {
    this.#bootS = this.#bench.timeS;
    this.#benchZeroMs = this.#lastRunMs - this.#bootS * 1000;
    this.#lostS = 0;
    this.#sequence = 0;
    this.#nextAmbientS = 0;
    this.#sampling = true;
    this.#notices.clear();
    this.#out += `\n${encodeLine(this.#identity())}`;
  }

  /** The samples of a pause are dropped whole, but sequence and clock go on, as PROTOCOL.md wants it. */
  #loseTime(behindS: number): void {
    const lostSamples = Math.floor(behindS * this.#bench.sampleRateHz);
    const lostS = lostSamples / this.#bench.sampleRateHz;
    this.#lostS += lostS;
    this.#benchZeroMs += lostS * 1000;
    this.#sequence = (this.#sequence + lostSamples) % SEQUENCE_MODULUS;
    this.#notice('overflow', lostSamples);
  }

  #sample(frame: PracticeFrame): void {
    const boardS = frame.timeS - this.#bootS + this.#lostS;
    // Begun before the board was switched on, while its channels were still being converted.
    if (boardS < 0) return;
    if (boardS >= this.#nextAmbientS) {
      this.#nextAmbientS = Math.floor(boardS / AMBIENT_EVERY_S + 1) * AMBIENT_EVERY_S;
      const pressurePa = this.#bench.ambientKpa * 1000;
      this.#out += encodeLine({ kind: 'ambient', pressurePa, temperatureCelsius: BENCH_CELSIUS });
    }
    if (this.#sampling) {
      this.#out += encodeLine({
        kind: 'sample',
        sequence: this.#sequence,
        timeTicks: Math.round(boardS * CLOCK_RATE_HZ) % TIME_MODULUS_TICKS,
        counts: frame.counts,
      });
    }
    this.#sequence = (this.#sequence + 1) % SEQUENCE_MODULUS;
  }

  #notice(notice: BoardNotice, more: number): void {
    const count = Math.min(MAX_NOTICE_COUNT, (this.#notices.get(notice) ?? 0) + more);
    this.#notices.set(notice, count);
    this.#out += encodeLine({ kind: 'notice', notice, count });
  }

  #identity(): IdentityLine {
    const bench = this.#bench;
    return {
      kind: 'identity',
      protocolVersion: PROTOCOL_VERSION,
      boardId: bench.sensors === 'exact' ? PRACTICE_BOARD_ID : boughtBoardId(bench.cylinders),
      firmwareVersion: PRACTICE_FIRMWARE,
      sensorTypes: Array.from({ length: bench.cylinders }, () => bench.transfer.sensorType),
      sampleRateHz: bench.sampleRateHz,
      clockRateHz: CLOCK_RATE_HZ,
      conversionTicks: Math.round(bench.conversionS * CLOCK_RATE_HZ),
      fullScaleCounts: bench.fullScaleCounts ?? 1,
    };
  }
}

export const PRACTICE_BOARD_ID = 'practice';
/** With sensors as bought it is a board like any other, so that what is rehearsed on it is its own. */
export const boughtBoardId = (channels: number): string => `practice-bought${channels}`;
const PRACTICE_FIRMWARE = 'practice-1';
/** A pause up to this long is made up for [s]; the samples of a longer one are lost, as on a real board. */
export const MAX_CATCH_UP_S = 0.5;
export const MIN_PRACTICE_RATE_HZ = 50;
export const MAX_PRACTICE_RATE_HZ = 2_000;
const CLOCK_RATE_HZ = 1_000_000;
const AMBIENT_EVERY_S = 1;
const BENCH_CELSIUS = 21;
