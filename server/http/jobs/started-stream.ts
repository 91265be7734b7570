import { Readable } from 'node:stream';

/** Text piece by piece, with the first piece in hand, so that what fails at once is still answered as an error. */
export async function startedStream(pieces: AsyncGenerator<string>): Promise<Readable> {
  const first = await pieces.next();
  return Readable.from(
    (async function* () {
      try {
        if (first.done !== true) yield first.value;
        yield* pieces;
      } finally {
        await pieces.return(undefined);
      }
    })(),
  );
}
