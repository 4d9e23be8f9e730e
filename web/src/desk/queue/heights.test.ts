import { expect, test } from "vitest";
import { Heights, rowAt, spanBetween } from "./heights";

const ids = (count: number): string[] => Array.from({ length: count }, (_, at) => String(at));

test("rows that were never drawn are as tall as the mean of those that were", () => {
  const heights = new Heights();
  expect([heights.note("0", 60), heights.note("1", 100), heights.note("1", 100.2), heights.note("2", 0)]).toEqual([true, true, false, false]);
  expect([...heights.tops(ids(4))]).toEqual([0, 60, 160, 240, 320]);
  heights.note("0", 80);
  expect([...heights.tops(ids(3))]).toEqual([0, 80, 180, 270]);
});

test("the row at a height, also beyond both ends", () => {
  const tops = Float64Array.from([0, 60, 160, 240]);
  expect([-5, 0, 59, 60, 239, 240, 900].map((y) => rowAt(tops, y))).toEqual([0, 0, 0, 1, 2, 2, 2]);
  expect(rowAt(Float64Array.from([0]), 10)).toBe(0);
});

test("of ten thousand rows only those near the window are drawn, and all that are seen", () => {
  const tops = new Heights().tops(ids(10_000));
  for (const from of [0, 40_000, 700_000]) {
    const { first, end } = spanBetween(tops, from, from + 2_000);
    expect(end - first).toBeLessThan(48);
    expect(tops[first]).toBeLessThanOrEqual(from);
    expect(tops[end]).toBeGreaterThanOrEqual(Math.min(from + 2_000, tops[10_000] as number));
  }
  expect(spanBetween(new Heights().tops([]), 0, 900)).toEqual({ first: 0, end: 0 });
});
