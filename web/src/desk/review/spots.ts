/** Where things stand along a strip, in screen pixels from its left end. */

/**
 * Places for handles of `wanted` (rising), each at least `apart` from the next and all inside the strip: where
 * they crowd, a crowd moves apart evenly around its own middle.
 */
export function placeHandles(wanted: readonly number[], width: number, apart: number): number[] {
  const groups: { sum: number; size: number }[] = [];
  wanted.forEach((x, index) => {
    groups.push({ sum: x - index * apart, size: 1 });
    for (;;) {
      const [before, last] = [groups.at(-2), groups.at(-1)];
      if (before === undefined || last === undefined || before.sum / before.size <= last.sum / last.size) break;
      groups.splice(-2, 2, { sum: before.sum + last.sum, size: before.size + last.size });
    }
  });
  const [low, high] = [apart / 2, width - apart / 2 - (wanted.length - 1) * apart];
  return groups
    .flatMap(({ sum, size }) => Array.from({ length: size }, () => Math.max(low, Math.min(high, sum / size))))
    .map((y, index) => y + index * apart);
}

export interface Label {
  id: string;
  /** Middle of what it names, and its own width. */
  x: number;
  width: number;
  /** Whether it goes before all others when there is no room. */
  first: boolean;
}

export interface LabelSpot {
  left: number;
  row: number;
}

const BETWEEN_PX = 6;

/** Labels in rows without any two touching; what finds no room has none, and is told when its handle is reached. */
export function placeLabels(labels: readonly Label[], width: number, rows: number): Record<string, LabelSpot> {
  const taken: { left: number; right: number; row: number }[] = [];
  const spots: Record<string, LabelSpot> = {};
  for (const label of [...labels].sort((one, other) => Number(other.first) - Number(one.first))) {
    const left = Math.max(0, Math.min(width - label.width, label.x - label.width / 2));
    const right = left + label.width;
    const row = Array.from({ length: rows }, (_, index) => index).find((index) =>
      taken.every((one) => one.row !== index || right + BETWEEN_PX <= one.left || one.right + BETWEEN_PX <= left),
    );
    if (row === undefined || right > width) continue;
    taken.push({ left, right, row });
    spots[label.id] = { left, row };
  }
  return spots;
}
