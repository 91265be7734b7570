import type { SeededRandom } from '../engines/seeded-random.ts';

/** As much of JSON Schema as the contract uses. */
export interface Schema {
  readonly type?: string;
  readonly const?: unknown;
  readonly enum?: readonly unknown[];
  readonly anyOf?: readonly Schema[];
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly required?: readonly string[];
  readonly items?: Schema | readonly Schema[];
  readonly minItems?: number;
  readonly maxItems?: number;
  readonly minLength?: number;
  readonly maxLength?: number;
  readonly pattern?: string;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly exclusiveMinimum?: number;
  readonly exclusiveMaximum?: number;
  readonly additionalProperties?: boolean | Schema;
}

const WORDS = ['x', '2024-05-31', '12.5', 'EUR', '10:30', 'kg', '0', 'a b', '…'];
const MOST_ITEMS = 9;
const OPTIONAL_SHARE = 0.6;

/** A value of that form, nearly always. @param known texts that name something that is there */
export function exampleOf(schema: Schema, known: readonly string[], random: SeededRandom): unknown {
  const one = <T>(list: readonly T[]): T => list[random.index(list.length)]!;
  if ('const' in schema) return schema.const;
  if (schema.enum !== undefined) return one(schema.enum);
  if (schema.anyOf !== undefined) return exampleOf(one(schema.anyOf), known, random);
  switch (schema.type) {
    case 'object': {
      const { properties = {}, required = [] } = schema;
      return Object.fromEntries(
        Object.entries(properties)
          .filter(([name]) => required.includes(name) || random.uniform() < OPTIONAL_SHARE)
          .map(([name, member]) => [name, exampleOf(member, known, random)]),
      );
    }
    case 'array': {
      const { items, minItems = 0, maxItems = MOST_ITEMS } = schema;
      const count = minItems + random.index(Math.min(MOST_ITEMS, maxItems - minItems) + 1);
      if (Array.isArray(items)) return items.map((item: Schema) => exampleOf(item, known, random));
      return Array.from({ length: count }, () => exampleOf((items as Schema) ?? {}, known, random));
    }
    case 'string': {
      const { pattern, minLength = 0, maxLength = 60 } = schema;
      const fits =
        pattern === undefined ? WORDS : WORDS.filter((word) => new RegExp(pattern, 'u').test(word));
      const text = one([...(fits.length > 0 ? fits : WORDS), ...known]);
      return text.padEnd(minLength, 'x').slice(0, Math.max(minLength, maxLength));
    }
    case 'integer':
    case 'number': {
      const low = schema.minimum ?? schema.exclusiveMinimum ?? -1_000;
      const high = schema.maximum ?? schema.exclusiveMaximum ?? low + 2_000;
      const value = random.uniform() < 0.2 ? one([low, high]) : random.between(low, high);
      return schema.type === 'integer' ? Math.round(value) : value;
    }
    case 'boolean':
      return random.uniform() < 0.5;
    case 'null':
      return null;
    default:
      return one([null, 'x', 1, {}, []]);
  }
}
