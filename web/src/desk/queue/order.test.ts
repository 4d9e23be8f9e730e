import { expect, test } from "vitest";
import { byDue, byNewest, follow } from "./order";

type Placed = Parameters<typeof byDue>[0];

const at = (id: string, due_at: string, correcting = false): Placed => ({ id, due_at, correcting });
const A = at("a", "2026-11-29T10:00:00Z");
const B = at("b", "2026-11-29T10:00:00.000200Z");
const C = at("c", "2026-11-29T12:00:00Z");
const D = at("d", "2026-11-29T13:00:00Z");

test("due first, to the microsecond, then who came first", () => {
  expect([C, B, at("z", A.due_at), A].sort(byDue).map((one) => one.id)).toEqual(["a", "z", "b", "c"]);
  const corrected = at("0", "2026-11-01T10:00:00Z", true);
  expect([corrected, C, A].sort(byDue)).toEqual([A, C, corrected]);
  expect([A, C, B].sort(byNewest).map((one) => one.id)).toEqual(["c", "b", "a"]);
});

test("a new one comes in at its place, one that went is gone, and the rest is the same", () => {
  const { items, came, went } = follow([A, C, D], ["b", "c"], [B], byDue, false);
  expect(items).toEqual([A, B, D]);
  expect([came, went]).toEqual([[B], [C]]);
  expect(items[0]).toBe(A);
});

test("one whose due time moved moves, and is neither new nor gone", () => {
  const later = at("a", "2026-11-29T12:30:00Z");
  const { items, came, went } = follow([A, C, D], ["a"], [later], byDue, false);
  expect(items.map((one) => one.id)).toEqual(["c", "a", "d"]);
  expect([came, went]).toEqual([[], []]);
});

test("what belongs after the last loaded row waits for its page", () => {
  expect(follow([A, B], ["d"], [D], byDue, true).items).toEqual([A, B]);
  expect(follow([A, B], ["d"], [D], byDue, false).items).toEqual([A, B, D]);
  expect(follow([], ["d"], [D], byDue, false).items).toEqual([D]);
});
