/** `GET /api/diagnostics`: what helps to find a fault from afar, and nothing of the shop's owners and machines. */
import Type, { type Static } from 'typebox';
import { SourceState } from './live.ts';
import { Setup } from './setup.ts';

export const Diagnostics = Type.Object({
  format: Type.Literal('idlewright-diagnostics'),
  version: Type.Literal(1),
  /** Wall clock [ms since 1970]. */
  madeAtMs: Type.Number(),
  software: Type.Object({
    version: Type.String(),
    node: Type.String(),
    platform: Type.String(),
    architecture: Type.String(),
    systemRelease: Type.String(),
  }),
  uptimeS: Type.Number(),
  memoryBytes: Type.Object({ resident: Type.Number(), heapUsed: Type.Number() }),
  /** The board, the link to it and every counter. */
  source: SourceState,
  setup: Setup,
  screens: Type.Object({ connected: Type.Integer(), messagesFolded: Type.Integer() }),
  captures: Type.Object({ listed: Type.Integer(), interrupted: Type.Integer() }),
  /** Oldest first; without what was typed. */
  log: Type.Array(
    Type.Object({
      atMs: Type.Number(),
      level: Type.Number(),
      text: Type.String(),
      error: Type.Union([
        Type.Null(),
        Type.Object({
          type: Type.String(),
          code: Type.Union([Type.String(), Type.Null()]),
          frames: Type.Array(Type.String()),
        }),
      ]),
    }),
  ),
});
export type Diagnostics = Static<typeof Diagnostics>;
