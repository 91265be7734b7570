import { crc16Hex } from '../../firmware-protocol/crc16.ts';
import { decodeCommand } from '../../firmware-protocol/decode-command.ts';
import { encodeLine } from '../../firmware-protocol/encode-line.ts';
import type { IdentityLine } from '../../firmware-protocol/lines.ts';
import { FULL_SCALE_COUNTS, type PlayedEngine } from './played-engine.ts';

const CLOCK_HZ = 1_000_000;
/** Microcontrollers keep little: what is not fetched in time is lost, whole lines at a time. */
const BOARD_BUFFER_BYTES = 256;

/** A board with an engine under its hoses. It runs on the true time, which the computer may sleep through. */
export class FaultyBoard {
  readonly boardId: string;
  engine: PlayedEngine;
  /** Speaks at this line speed; at any other it is noise. */
  baudRate: number;
  /** Of the line protocol that its firmware speaks. */
  protocolVersion = 1;
  /** Sends nothing while true, but its clock and its numbers go on. */
  mute = false;
  /** Every row of counts that was put on the line, to be found again in captures. */
  readonly sentRows = new Set<string>();
  /** Every line that it said, without its ending. */
  readonly sentLines = new Set<string>();
  #powered = false;
  #bootMs = 0;
  #nextSample = 0;
  /** Row of the recording that belongs to sample 0 since power-up. */
  #firstRow = 0;
  #sequenceShift = 0;
  #ticksShift = 0;
  #sampling = true;
  #out = '';

  constructor(boardId: string, engine: PlayedEngine, baudRate: number) {
    this.boardId = boardId;
    this.engine = engine;
    this.baudRate = baudRate;
  }

  /** Begins anew; the engine is somewhere in its run. @param place 0…1 */
  powerUp(trueMs: number, place: number): void {
    this.#powered = true;
    this.#bootMs = trueMs;
    this.#nextSample = 0;
    this.#firstRow = Math.floor(place * this.engine.counts.length * 0.3);
    this.#restart();
  }

  /** As after a watchdog: clock and numbers begin anew while the engine goes on. */
  reset(trueMs: number): void {
    const { sampleRateHz } = this.engine;
    this.#firstRow += Math.round(((trueMs - this.#bootMs) / 1000) * sampleRateHz);
    this.#bootMs = trueMs;
    this.#nextSample = 0;
    this.#restart();
  }

  /** Its clock is suddenly elsewhere, or its numbers are. */
  jump(ticks: number, samples: number): void {
    this.#ticksShift += ticks;
    this.#sequenceShift += samples;
  }

  /** All that it has said since the last call. */
  run(trueMs: number): string {
    if (!this.#powered) return '';
    const { sampleRateHz, counts } = this.engine;
    const dueSample = Math.floor(((trueMs - this.#bootMs) / 1000) * sampleRateHz);
    for (; this.#nextSample < dueSample; this.#nextSample++) {
      if (!this.#sampling || this.mute) continue;
      const row = counts[modulo(this.#firstRow + this.#nextSample, counts.length)]!;
      const ticks = Math.round((this.#nextSample / sampleRateHz) * CLOCK_HZ) + this.#ticksShift;
      this.sentRows.add(row.join());
      this.#out += encodeLine({
        kind: 'sample',
        sequence: modulo(this.#nextSample + this.#sequenceShift, 65_536),
        timeTicks: modulo(ticks, 2 ** 32),
        counts: [...row],
      });
    }
    const out = this.#out;
    this.#out = '';
    for (const line of out.split('\n')) this.sentLines.add(line);
    return out;
  }

  /** Nobody fetched what it said since then: all but the newest lines are gone. */
  skipTo(trueMs: number): string {
    const said = this.run(trueMs);
    // A recording has an end that does not join its beginning: it is passed while nobody hears it.
    const length = this.engine.counts.length;
    if ((this.#firstRow + this.#nextSample) % length > length / 3) this.#firstRow -= this.#nextSample;
    const tail = said.slice(-BOARD_BUFFER_BYTES);
    return tail.slice(tail.indexOf('\n') + 1);
  }

  command(text: string): void {
    for (const line of text.split('\n')) {
      const decoded = decodeCommand(line);
      if (!decoded.ok) continue;
      if (decoded.command.kind === 'start') this.#sampling = true;
      if (decoded.command.kind === 'stop') this.#sampling = false;
      if (!this.mute) this.#out += this.#identity();
    }
  }

  #restart(): void {
    this.#sequenceShift = 0;
    this.#ticksShift = 0;
    this.#sampling = true;
    this.#out += `\n${this.#identity()}`;
  }

  #identity(): string {
    const identity: IdentityLine = {
      kind: 'identity',
      protocolVersion: 1,
      boardId: this.boardId,
      firmwareVersion: '1.0',
      sensorTypes: this.engine.vacuumKpa.map(() => 'MPX4115A'),
      sampleRateHz: this.engine.sampleRateHz,
      clockRateHz: CLOCK_HZ,
      conversionTicks: 0,
      fullScaleCounts: FULL_SCALE_COUNTS,
    };
    const text = encodeLine(identity);
    if (this.protocolVersion === 1) return text;
    const body = text.slice(0, text.lastIndexOf('*')).replace(/^I,1,/, `I,${this.protocolVersion},`);
    return `${body}*${crc16Hex(body)}\n`;
  }
}

function modulo(value: number, modulus: number): number {
  return ((value % modulus) + modulus) % modulus;
}
