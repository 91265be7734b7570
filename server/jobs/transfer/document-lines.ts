/** Longest line taken [bytes]: the largest photo in base64 with room to spare. */
export const MAX_LINE_BYTES = 64 * 1024 * 1024;

/** Thrown where a line is longer than that. */
export class LineTooLong extends Error {}

/** Lines of UTF-8 text from pieces cut anywhere, without their ends. */
export async function* documentLines(pieces: AsyncIterable<Buffer>): AsyncGenerator<string> {
  let held: Buffer[] = [];
  let heldBytes = 0;
  for await (const piece of pieces) {
    let start = 0;
    for (let end = piece.indexOf(10, start); end >= 0; end = piece.indexOf(10, start)) {
      held.push(piece.subarray(start, end));
      yield Buffer.concat(held).toString('utf8').replace(/\r$/, '');
      held = [];
      heldBytes = 0;
      start = end + 1;
    }
    if (start < piece.length) {
      held.push(piece.subarray(start));
      heldBytes += piece.length - start;
      if (heldBytes > MAX_LINE_BYTES) throw new LineTooLong();
    }
  }
  if (held.length > 0) yield Buffer.concat(held).toString('utf8').replace(/\r$/, '');
}
