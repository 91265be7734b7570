import { crc32 as referenceCrc32 } from 'crc';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { SampleChunk } from '../../../server/jobs/capture-store.ts';
import { decodeSampleChunk, encodeSampleChunk } from '../../../server/jobs/sample-chunk-codec.ts';
import { cutIntoChunks, manifoldSignal } from './manifold-signal.ts';

const SEED = 20_240_611;

const chunks = fc
  .record({ samples: fc.integer({ min: 1, max: 200 }), channels: fc.integer({ min: 0, max: 8 }) })
  .chain(({ samples, channels }) =>
    fc.record({
      timeTicks: fc.array(fc.integer({ min: -(2 ** 47), max: 2 ** 47 }), {
        minLength: samples,
        maxLength: samples,
      }),
      counts: fc.array(
        fc.array(
          fc.oneof(fc.integer({ min: -1, max: 1023 }), fc.integer({ min: -(2 ** 47), max: 2 ** 47 })),
          {
            minLength: samples,
            maxLength: samples,
          },
        ),
        { minLength: channels, maxLength: channels },
      ),
    }),
  );

describe('chunks of raw samples', () => {
  test(`come back exactly as they went in, whatever is in them (seed ${SEED})`, () => {
    fc.assert(
      fc.property(chunks, (chunk) => {
        expect(decodeSampleChunk(encodeSampleChunk(chunk))).toEqual({ ok: true, chunk });
      }),
      { seed: SEED, numRuns: 150 },
    );
  });

  test('of a running engine at 4 x 500 samples/s take less than 1.2 bytes a count, times included', () => {
    const signal = manifoldSignal({
      seed: SEED,
      seconds: 60,
      channels: 4,
      sampleRateHz: 500,
      noiseKpa: 0.3,
      clockRateHz: 1_000_000,
      timeJitterTicks: 4,
    });
    let bytes = 0;
    for (const chunk of cutIntoChunks(signal, 250)) {
      const encoded = encodeSampleChunk(chunk);
      bytes += encoded.length;
      expect(decodeSampleChunk(encoded)).toEqual({ ok: true, chunk });
    }
    expect(bytes / (signal.timeTicks.length * 4)).toBeLessThan(1.2);
  });

  test('missing counts, a spike, and a gap in time survive', () => {
    const chunk: SampleChunk = {
      timeTicks: [10, 2010, 4010, 904_010, 906_010],
      counts: [
        [500, -1, 502, 1023, 503],
        [-1, -1, -1, -1, -1],
      ],
    };
    expect(decodeSampleChunk(encodeSampleChunk(chunk))).toEqual({ ok: true, chunk });
  });

  test(`damage anywhere is a reason and never a wrong sample (seed ${SEED})`, () => {
    const encoded = encodeSampleChunk({ timeTicks: [1, 2, 3, 4], counts: [[9, 8, 9, 8]] });
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: encoded.length - 1 }),
        fc.integer({ min: 1, max: 255 }),
        (at, flip) => {
          const damaged = encoded.slice();
          damaged[at]! ^= flip;
          expect(decodeSampleChunk(damaged)).toEqual({ ok: false, reason: 'checksum-wrong' });
        },
      ),
      { seed: SEED },
    );
    for (let length = 0; length < encoded.length; length++) {
      expect(decodeSampleChunk(encoded.subarray(0, length)).ok).toBe(false);
    }
  });

  test('bytes with a right checksum and a wrong inside are a reason too', () => {
    const sealed = (body: number[]): Uint8Array => {
      const bytes = new Uint8Array([...body, 0, 0, 0, 0]);
      new DataView(bytes.buffer).setUint32(body.length, referenceCrc32(Buffer.from(body)), true);
      return bytes;
    };
    expect(decodeSampleChunk(sealed([2, 1, 0, 0]))).toEqual({ ok: false, reason: 'newer-format' });
    expect(decodeSampleChunk(sealed([1, 0, 0]))).toEqual({ ok: false, reason: 'malformed' });
    expect(decodeSampleChunk(sealed([1, 0xff, 0xff, 0x7f, 4]))).toEqual({ ok: false, reason: 'malformed' });
    expect(decodeSampleChunk(sealed([1, 200, 1, 8, 0xff]))).toEqual({ ok: false, reason: 'malformed' });
  });

  test(`random bytes with a right checksum never throw (seed ${SEED})`, () => {
    fc.assert(
      fc.property(fc.uint8Array({ minLength: 3, maxLength: 300 }), (body) => {
        body[0] = 1;
        const bytes = new Uint8Array([...body, 0, 0, 0, 0]);
        new DataView(bytes.buffer).setUint32(body.length, referenceCrc32(Buffer.from(body)), true);
        expect(typeof decodeSampleChunk(bytes).ok).toBe('boolean');
      }),
      { seed: SEED, numRuns: 2000 },
    );
  });

  test('what is not a whole number in range is refused as a mistake of the caller', () => {
    expect(() => encodeSampleChunk({ timeTicks: [], counts: [] })).toThrow(RangeError);
    expect(() => encodeSampleChunk({ timeTicks: [0.5], counts: [] })).toThrow('not 0.5');
    expect(() => encodeSampleChunk({ timeTicks: [1], counts: [[2 ** 48]] })).toThrow(RangeError);
    expect(() => encodeSampleChunk({ timeTicks: [1], counts: [[Number.NaN]] })).toThrow('not NaN');
    expect(() => encodeSampleChunk({ timeTicks: [1, 2], counts: [[1]] })).toThrow('1 values');
  });
});
