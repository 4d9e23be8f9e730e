import type { QueueItem } from "../../api/types";

/** The order of the queue as the server has it (`api/db/queue_order.py`), and following changes in it. */

type Placed = Pick<QueueItem, "id" | "due_at" | "correcting">;

/** Microseconds since 1970: the server's times are finer than a `Date`. */
function instant(iso: string): number {
  const fraction = /\.(\d+)/.exec(iso)?.[1] ?? "";
  return Math.floor(Date.parse(iso) / 1000) * 1e6 + Number(fraction.slice(0, 6).padEnd(6, "0"));
}

/** Due first; of two that are due together, the one that came first. Corrections of what was answered come last. */
export function byDue(a: Placed, b: Placed): number {
  return Number(a.correcting) - Number(b.correcting) || instant(a.due_at) - instant(b.due_at) || (a.id < b.id ? -1 : Number(a.id > b.id));
}

/** The answered ones. */
export const byNewest = (a: Placed, b: Placed): number => (a.id > b.id ? -1 : Number(a.id < b.id));

export interface Followed<Item> {
  items: Item[];
  came: Item[];
  went: Item[];
}

/**
 * Put what was asked for again into its place. `ids` changed; `found` are those of them that are still in the
 * queue. With `more` to load, what belongs after the last row comes with its page.
 */
export function follow<Item extends Placed>(
  items: readonly Item[],
  ids: Iterable<string>,
  found: readonly Item[],
  compare: (a: Placed, b: Placed) => number,
  more: boolean,
): Followed<Item> {
  const changed = new Set(ids);
  const known = new Map(items.filter((item) => changed.has(item.id)).map((item) => [item.id, item]));
  const last = items.at(-1);
  const kept = items.filter((item) => !changed.has(item.id));
  const came: Item[] = [];
  const there = new Set<string>();
  for (const item of found) {
    if (more && last !== undefined && compare(item, last) > 0) continue;
    kept.splice(placeFor(kept, item, compare), 0, item);
    there.add(item.id);
    if (!known.has(item.id)) came.push(item);
  }
  return { items: kept, came, went: [...known.values()].filter((item) => !there.has(item.id)) };
}

function placeFor<Item extends Placed>(items: readonly Item[], item: Item, compare: (a: Placed, b: Placed) => number): number {
  let [low, high] = [0, items.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (compare(items[middle] as Item, item) < 0) low = middle + 1;
    else high = middle;
  }
  return low;
}
