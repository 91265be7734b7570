/**
 * Where bytes come from and commands go to: a serial port, a TCP bridge, the practice board, a recording.
 * The link state machine sees only this, never a port class. A stream is single-use: after `onClose` the
 * object is dead and `open` makes another one.
 */

export type SourceKind = 'serial' | 'tcp' | 'practice' | 'replay';

/** Why a stream ended or could not be opened. `code` is an entry of the error catalogue. */
export interface StreamEnd {
  readonly code: SourceErrorCode;
  /** The system's own words, for the log only. */
  readonly detail: string;
}

export const SOURCE_ERROR_CODES = [
  'source-unplugged',
  'source-not-found',
  'source-in-use',
  'source-no-permission',
  'source-refused',
  'source-ended',
  'source-failed',
] as const;
export type SourceErrorCode = (typeof SOURCE_ERROR_CODES)[number];

export interface ByteStreamHandlers {
  /** A chunk as it arrived; the callee may keep it. */
  onBytes(chunk: Uint8Array): void;
  /** Called exactly once, whatever happened, and nothing after it. */
  onClose(end: StreamEnd): void;
}

export interface ByteStream {
  /** Text of one command with its line ending. Never throws; a failure shows as `onClose`. */
  write(text: string): void;
  /** Ends the stream; resolves when the device is free again. Safe to call twice. */
  close(): Promise<void>;
}

export interface ByteSource {
  readonly kind: SourceKind;
  /** As the person would write it: `serial:/dev/ttyUSB0`, `tcp:10.0.0.5:3333`, `practice`, `replay:FILE`. */
  readonly address: string;
  /** Line speeds worth trying in turn when nothing readable comes. Absent where there is no such thing. */
  readonly baudRates?: readonly number[];
  /** Resolves with a live stream, or with the reason; it does not reject. `baudRate` is one of `baudRates`. */
  open(
    handlers: ByteStreamHandlers,
    baudRate?: number,
  ): Promise<{ ok: true; stream: ByteStream } | { ok: false; end: StreamEnd }>;
}
