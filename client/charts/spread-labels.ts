/**
 * Places for labels along a line so that none covers another and each is as near to its marker as that allows. Labels
 * that would overlap form a block that sits round the mean of their markers (pooling adjacent violators).
 * @param wanted centre that each label would like
 * @param width of one label, gap included
 * @param least smallest allowed left edge
 * @param most largest allowed right edge
 * @returns centres in the order given
 */
export function spreadLabels(
  wanted: readonly number[],
  width: number,
  least: number,
  most: number,
): number[] {
  const order = wanted.map((_, index) => index).sort((a, b) => wanted[a]! - wanted[b]! || a - b);
  const blocks: { sum: number; count: number }[] = [];
  for (const [rank, index] of order.entries()) {
    // In these coordinates labels that touch have the same place.
    blocks.push({ sum: wanted[index]! - rank * width, count: 1 });
    while (blocks.length > 1 && mean(blocks.at(-2)!) >= mean(blocks.at(-1)!)) {
      const last = blocks.pop()!;
      const before = blocks.at(-1)!;
      before.sum += last.sum;
      before.count += last.count;
    }
  }
  const lowest = least + width / 2;
  const highest = most - width / 2 - (wanted.length - 1) * width;
  const placed = new Array<number>(wanted.length);
  let rank = 0;
  for (const block of blocks) {
    const place = Math.max(lowest, Math.min(highest, mean(block)));
    for (let i = 0; i < block.count; i++, rank++) placed[order[rank]!] = place + rank * width;
  }
  return placed;
}

function mean({ sum, count }: { sum: number; count: number }): number {
  return sum / count;
}
