import type { IdentityLine } from '../../firmware-protocol/lines.ts';

/** The same board set up in the same way: nothing that was built for it has to change. */
export function sameBoard(a: IdentityLine | null, b: IdentityLine): boolean {
  return (
    a !== null &&
    a.boardId === b.boardId &&
    a.firmwareVersion === b.firmwareVersion &&
    a.protocolVersion === b.protocolVersion &&
    a.sampleRateHz === b.sampleRateHz &&
    a.clockRateHz === b.clockRateHz &&
    a.conversionTicks === b.conversionTicks &&
    a.fullScaleCounts === b.fullScaleCounts &&
    a.sensorTypes.length === b.sensorTypes.length &&
    a.sensorTypes.every((type, channel) => type === b.sensorTypes[channel])
  );
}
