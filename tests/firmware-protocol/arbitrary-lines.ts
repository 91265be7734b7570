import fc from 'fast-check';
import type {
  AmbientLine,
  BoardCommand,
  BoardLine,
  IdentityLine,
  NoticeLine,
  SampleLine,
} from '../../firmware-protocol/lines.ts';
import { BOARD_NOTICES } from '../../firmware-protocol/lines.ts';

const name = fc.stringMatching(/^[A-Za-z0-9_-]{1,16}$/);

export const identityLine: fc.Arbitrary<IdentityLine> = fc.record({
  kind: fc.constant('identity' as const),
  protocolVersion: fc.constant(1),
  boardId: name,
  firmwareVersion: fc.stringMatching(/^[A-Za-z0-9_.-]{1,16}$/),
  sensorTypes: fc.array(name, { minLength: 1, maxLength: 8 }),
  sampleRateHz: fc.integer({ min: 1, max: 4_000 }),
  clockRateHz: fc.integer({ min: 1_000, max: 100_000_000 }),
  conversionTicks: fc.integer({ min: 0, max: 16_777_215 }),
  fullScaleCounts: fc.integer({ min: 1, max: 16_777_215 }),
});

export const sampleLine: fc.Arbitrary<SampleLine> = fc.record({
  kind: fc.constant('sample' as const),
  sequence: fc.integer({ min: 0, max: 65_535 }),
  timeTicks: fc.integer({ min: 0, max: 4_294_967_295 }),
  counts: fc.array(fc.oneof(fc.integer({ min: 0, max: 1_023 }), fc.integer({ min: 0, max: 16_777_215 })), {
    minLength: 1,
    maxLength: 8,
  }),
});

export const ambientLine: fc.Arbitrary<AmbientLine> = fc.record({
  kind: fc.constant('ambient' as const),
  pressurePa: fc.option(fc.integer({ min: 30_000, max: 130_000 })),
  temperatureCelsius: fc.option(fc.integer({ min: -4_000, max: 12_500 }).map((steps) => steps / 100)),
});

export const noticeLine: fc.Arbitrary<NoticeLine> = fc.record({
  kind: fc.constant('notice' as const),
  notice: fc.constantFrom(...BOARD_NOTICES),
  count: fc.integer({ min: 1, max: 65_535 }),
});

export const boardLine: fc.Arbitrary<BoardLine> = fc.oneof(identityLine, sampleLine, ambientLine, noticeLine);

export const boardCommand: fc.Arbitrary<BoardCommand> = fc.oneof(
  fc.constantFrom<BoardCommand>({ kind: 'identify' }, { kind: 'start' }, { kind: 'stop' }),
  fc.record({ kind: fc.constant('rate' as const), sampleRateHz: fc.integer({ min: 1, max: 4_000 }) }),
);
