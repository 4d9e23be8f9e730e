/** Which rows are near the window, for rows of unequal heights of which most were never drawn. */

const FIRST_GUESS_PX = 76;

export class Heights {
  #known = new Map<string, number>();
  #sum = 0;

  /** Note how tall a row is; says whether that is news. */
  note(id: string, px: number): boolean {
    const before = this.#known.get(id);
    if (px <= 0 || (before !== undefined && Math.abs(before - px) < 0.5)) return false;
    this.#known.set(id, px);
    this.#sum += px - (before ?? 0);
    return true;
  }

  /** After the width changed, nothing that was measured holds. */
  forget(): void {
    this.#known.clear();
    this.#sum = 0;
  }

  /** Where each row begins, and last where all end. Rows that were never drawn are as tall as the others' mean. */
  tops(ids: readonly string[]): Float64Array {
    const guess = this.#known.size === 0 ? FIRST_GUESS_PX : Math.round(this.#sum / this.#known.size);
    const tops = new Float64Array(ids.length + 1);
    for (let at = 0; at < ids.length; at += 1) {
      tops[at + 1] = (tops[at] as number) + (this.#known.get(ids[at] as string) ?? guess);
    }
    return tops;
  }
}

export interface Span {
  first: number;
  /** Not included. */
  end: number;
}

/** The rows between two heights, in steps, so that a small scroll draws nothing new. */
export function spanBetween(tops: Float64Array, from: number, to: number, step = 8): Span {
  const rows = tops.length - 1;
  const first = Math.floor(rowAt(tops, from) / step) * step;
  const end = Math.ceil((rowAt(tops, to) + 1) / step) * step;
  return { first: Math.max(0, first), end: Math.min(rows, end) };
}

/** The row at a height; the first or the last where it is beyond them. */
export function rowAt(tops: Float64Array, y: number): number {
  let [low, high] = [0, Math.max(0, tops.length - 2)];
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if ((tops[middle] as number) <= y) low = middle;
    else high = middle - 1;
  }
  return low;
}
