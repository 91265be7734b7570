import type { LiveMessage } from '../../server/contract/live.ts';

/** The version of the live messages that this page was built for. */
export const LIVE_VERSION = 1;

const KNOWN: ReadonlySet<string> = new Set<LiveMessage['type']>([
  'hello',
  'snapshot',
  'update',
  'pulses',
  'event',
]);

/**
 * @returns the message, or null for anything that is none: a newer program may send kinds that this page does
 *   not know, and they are not its concern
 */
export function readMessage(data: unknown): LiveMessage | null {
  if (typeof data !== 'string') return null;
  try {
    const message: unknown = JSON.parse(data);
    if (typeof message !== 'object' || message === null || !('type' in message)) return null;
    return KNOWN.has(String(message.type)) ? (message as LiveMessage) : null;
  } catch {
    return null;
  }
}
