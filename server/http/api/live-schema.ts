import { Hello, LIVE_VERSION, LiveEvent, Pulses, Snapshot, Update } from '../../contract/live.ts';

/** Every message of the WebSocket at `/live`, as one JSON Schema (2020-12). */
export function liveSchema(): object {
  return {
    $schema: 'https://json-schema.org/draft/2020-12/schema',
    title: `Idlewright live messages, version ${LIVE_VERSION}`,
    anyOf: ['Hello', 'Snapshot', 'Update', 'Pulses', 'LiveEvent'].map((name) => ({
      $ref: `#/$defs/${name}`,
    })),
    $defs: { Hello, Snapshot, Update, Pulses, LiveEvent },
  };
}
