import type { FastifyBaseLogger } from 'fastify';
import { AutoSource } from './board/auto-source.ts';
import type { ByteSource } from './board/byte-source.ts';
import { listUsbPorts } from './board/list-ports.ts';
import type { PracticeSource } from './board/practice-source.ts';
import { RecordingFile, RecordingSource } from './board/recording-source.ts';
import { ReplaySource } from './board/replay-source.ts';
import { SerialSource } from './board/serial-source.ts';
import type { SourceAddress } from './board/source-address.ts';
import { TcpSource } from './board/tcp-source.ts';
import type { Clock } from './clock.ts';
import type { MeasuringSession } from './session/measuring-session.ts';

export interface SourceParts {
  readonly source: SourceAddress;
  /** Writes what the board sends to this file, or null. */
  readonly recordFile: string | null;
  /** Ports that `auto` looks at; the USB ones where it is left out. */
  readonly listPorts?: () => Promise<readonly string[]>;
  readonly clock: Clock;
  readonly logger: FastifyBaseLogger;
  readonly session: MeasuringSession;
  readonly practice: PracticeSource;
  /** The practice engine has become what is measured. */
  readonly onPractice: () => void;
}

/** Lets the session measure what the person named. @returns what ends the search for boards, or null without one */
export function startSource(parts: SourceParts): (() => Promise<void>) | null {
  const { source, clock, session, practice } = parts;
  const recorded = recorderOf(parts);
  if (source.kind !== 'auto') {
    session.useSource(recorded(fixedSource(source, practice, clock)));
    return null;
  }
  const auto = new AutoSource({
    clock,
    practice,
    listPorts: parts.listPorts ?? listUsbPorts,
    openPort: (path) => new SerialSource(path),
    choose: (chosen) => {
      session.useSource(recorded(chosen));
      if (chosen === practice) parts.onPractice();
    },
    isRealBoardLive: () => session.live && !session.source.practice,
    mayLeaveFor: (boardId) => {
      const captured = session.capturedBoard;
      return captured === null || (!captured.practice && captured.boardId === boardId);
    },
    onTrouble: (code) => session.setTrouble(code),
  });
  auto.start();
  return () => auto.stop();
}

/** One recording for all sources that come one after the other. */
function recorderOf({ recordFile, clock, logger }: SourceParts): (inner: ByteSource) => ByteSource {
  if (recordFile === null) return (inner) => inner;
  const file = new RecordingFile(recordFile, clock, (detail) => logger.error(`recording: ${detail}`));
  return (inner) => new RecordingSource(inner, file);
}

function fixedSource(
  address: Exclude<SourceAddress, { kind: 'auto' }>,
  practice: PracticeSource,
  clock: Clock,
): ByteSource {
  switch (address.kind) {
    case 'practice':
      return practice;
    case 'serial':
      return new SerialSource(address.path);
    case 'tcp':
      return new TcpSource(address.host, address.port);
    case 'replay':
      return new ReplaySource(address.file, clock);
  }
}
