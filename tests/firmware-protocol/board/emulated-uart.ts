import type { CPU } from 'avr8js';
import { CPU_HZ } from './emulated-converter.ts';

const UCSR0A = 0xc0;
const UCSR0B = 0xc1;
const UBRR0L = 0xc4;
const UBRR0H = 0xc5;
const UDR0 = 0xc6;

const RXC = 0x80;
const UDRE = 0x20;
const FE = 0x10;
const DOR = 0x08;
const U2X = 0x02;
const RXCIE = 0x80;
const UDRIE = 0x20;
const RXEN = 0x10;

const BITS_PER_BYTE = 10;

/**
 * USART0 of the ATmega328P as its datasheet describes it, in 8-N-1 with interrupts. Unlike the emulator's own
 * it has the second transmit register, so that bytes follow each other without a pause, and the receive buffer of two
 * bytes with its overrun, so that a program that answers too late is caught.
 */
export class EmulatedUart {
  readonly #cpu: CPU;
  readonly #onByte: (byte: number) => void;
  #shifting = false;
  #waiting: number | null = null;
  readonly #received: { byte: number; status: number }[] = [];
  readonly #incoming: number[] = [];
  #arriving = false;
  #overrun = false;

  readonly #dataRegisterEmpty = {
    address: 0x26,
    flagRegister: UCSR0A,
    flagMask: UDRE,
    enableRegister: UCSR0B,
    enableMask: UDRIE,
    constant: true,
  };
  readonly #receiveComplete = {
    address: 0x24,
    flagRegister: UCSR0A,
    flagMask: RXC,
    enableRegister: UCSR0B,
    enableMask: RXCIE,
    constant: true,
  };

  /** @param onByte called when the stop bit of a byte has left the board */
  constructor(cpu: CPU, onByte: (byte: number) => void) {
    this.#cpu = cpu;
    this.#onByte = onByte;
    cpu.data[UCSR0A] = UDRE;
    cpu.data[UCSR0B] = 0;
    cpu.writeHooks[UCSR0A] = (value) => {
      cpu.data[UCSR0A] = (cpu.data[UCSR0A]! & ~U2X) | (value & U2X);
      return true;
    };
    cpu.writeHooks[UCSR0B] = (value) => {
      cpu.data[UCSR0B] = value;
      cpu.updateInterruptEnable(this.#dataRegisterEmpty, value);
      cpu.updateInterruptEnable(this.#receiveComplete, value);
      return true;
    };
    cpu.writeHooks[UDR0] = (value) => {
      this.#transmit(value);
      return true;
    };
    cpu.readHooks[UDR0] = () => this.#take();
  }

  get baud(): number {
    return (CPU_HZ * BITS_PER_BYTE) / this.#cyclesPerByte;
  }

  /** Queues a byte for the board's receiver; bytes arrive back to back at line speed. */
  send(byte: number): void {
    this.#incoming.push(byte);
    if (!this.#arriving) this.#arrive();
  }

  get #cyclesPerByte(): number {
    const divisor = ((this.#cpu.data[UBRR0H]! & 0xf) << 8) + this.#cpu.data[UBRR0L]! + 1;
    return divisor * (this.#cpu.data[UCSR0A]! & U2X ? 8 : 16) * BITS_PER_BYTE;
  }

  #transmit(byte: number): void {
    if (!(this.#cpu.data[UCSR0A]! & UDRE)) return; // The datasheet: such a write is ignored.
    if (this.#shifting) {
      this.#waiting = byte;
      this.#cpu.clearInterrupt(this.#dataRegisterEmpty);
    } else {
      this.#shift(byte);
      // The interrupt stays due: the register is empty again at once.
    }
  }

  #shift(byte: number): void {
    this.#shifting = true;
    this.#cpu.addClockEvent(() => {
      this.#onByte(byte);
      this.#shifting = false;
      const next = this.#waiting;
      if (next === null) return;
      this.#waiting = null;
      this.#shift(next);
      this.#cpu.setInterruptFlag(this.#dataRegisterEmpty);
    }, this.#cyclesPerByte);
  }

  #arrive(): void {
    this.#arriving = true;
    this.#cpu.addClockEvent(() => {
      const byte = this.#incoming.shift()!;
      this.#arriving = false;
      if (this.#incoming.length > 0) this.#arrive();
      if (!(this.#cpu.data[UCSR0B]! & RXEN)) return;
      if (this.#received.length === 2) {
        this.#overrun = true;
        return;
      }
      this.#received.push({ byte, status: this.#overrun ? DOR : 0 });
      this.#overrun = false;
      this.#show();
    }, this.#cyclesPerByte);
  }

  #take(): number {
    const taken = this.#received.shift()?.byte ?? 0;
    this.#show();
    return taken;
  }

  #show(): void {
    const first = this.#received[0];
    const { data } = this.#cpu;
    data[UCSR0A] = data[UCSR0A]! & ~(FE | DOR);
    if (first === undefined) {
      this.#cpu.clearInterrupt(this.#receiveComplete);
    } else {
      data[UCSR0A] = data[UCSR0A]! | first.status;
      this.#cpu.setInterruptFlag(this.#receiveComplete);
    }
  }
}
