import { expect, test } from "vitest";
import type { TrendPoint } from "../../api/types";
import { change, drawn } from "./trend";

const at = (value: number, half: number): TrendPoint =>
  ({ value, low: value - half, high: value + half, band: "good", current: false }) as unknown as TrendPoint;

test("a change within both doubts is none", () => {
  expect(change([at(90, 4), at(94, 4)])).toBe("no clear change");
  expect(change([at(90, 4), at(96, 4)])).toBe("up");
  expect(change([at(90, 1), at(80, 2)])).toBe("down");
  expect(change([at(90, 1)])).toBeNull();
});

test("all of it is inside the drawing, larger values higher, in the order of time", () => {
  const { spots, good } = drawn([at(120, 6), at(100, 5), at(90, 4)], { good_low: 80, good_high: 100 }, 200, 50);
  for (const spot of spots) {
    expect(spot.top).toBeGreaterThanOrEqual(0);
    expect(spot.bottom).toBeLessThanOrEqual(50);
    expect(spot.top).toBeLessThan(spot.y);
  }
  expect(spots.map((spot) => spot.x)).toEqual([...spots.map((spot) => spot.x)].sort((a, b) => a - b));
  expect(spots[0]!.y).toBeLessThan(spots[2]!.y);
  expect(good!.top).toBeLessThan(good!.bottom);
});

test("one value, and values that are all the same, draw too", () => {
  expect(drawn([at(1, 0)], null, 100, 40).spots[0]!.y).toBeCloseTo(40 * 0.92);
  expect(drawn([at(1, 0), at(1, 0)], null, 100, 40).good).toBeNull();
});
