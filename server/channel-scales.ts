import type { IdentityLine } from '../firmware-protocol/lines.ts';
import type { ChannelScales } from './session/measuring-parts.ts';

/** Temporary: MPX4115A on every channel. */
export function channelScalesFor(identity: IdentityLine): ChannelScales {
  const { fullScaleCounts, sensorTypes } = identity;
  return {
    absoluteKpa: (_channel, counts) => (counts / fullScaleCounts + 0.095) / 0.009,
    record: sensorTypes,
    instrumentOptions: () => ({}),
    trouble: null,
  };
}
