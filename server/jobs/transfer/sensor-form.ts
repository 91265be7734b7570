/** Form of a sensor type in a document: `SensorType` of `calibration/sensor-type.ts`, every figure within its bounds. */
import Type from 'typebox';
import { Text } from '../../contract/jobs-values.ts';

const closed = { additionalProperties: false };
const Kpa = Type.Number({ minimum: -1000, maximum: 1000 });
/** Rising or falling, never level. */
const Slope = Type.Union([
  Type.Number({ exclusiveMinimum: 0, maximum: 1000 }),
  Type.Number({ minimum: -1000, exclusiveMaximum: 0 }),
]);

export const SensorForm = Type.Object(
  {
    name: Type.String({ pattern: '^[A-Za-z0-9_-]{1,16}$' }),
    sameAs: Type.Array(Text(32), { maxItems: 32 }),
    measures: Type.Union([Type.Literal('absolute'), Type.Literal('gauge')]),
    transfer: Type.Union([
      Type.Object(
        {
          kind: Type.Literal('ratiometric'),
          perKpa: Slope,
          zero: Type.Number({ minimum: -1000, maximum: 1000 }),
        },
        closed,
      ),
      Type.Object(
        {
          kind: Type.Literal('digital'),
          kpaPerCount: Slope,
          kpaAtZero: Kpa,
        },
        closed,
      ),
    ]),
    lowestKpa: Kpa,
    highestKpa: Kpa,
    errorBandKpa: Type.Number({ exclusiveMinimum: 0, maximum: 1000 }),
    temperatureMultiplier: Type.Array(
      Type.Tuple([Type.Number(), Type.Number({ minimum: 0, maximum: 100 })]),
      {
        maxItems: 16,
      },
    ),
    source: Text(1000),
    fromMemory: Type.Array(Text(32), { maxItems: 32 }),
  },
  closed,
);
