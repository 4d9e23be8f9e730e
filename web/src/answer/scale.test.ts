import { expect, test } from "vitest";
import { scaleOf } from "./scale";

const bands = { watch_low: 70, good_low: 80, good_high: 100, watch_high: 110 };

test("the bar reaches a quarter of the watch span beyond its limits", () => {
  const scale = scaleOf(bands);
  expect([scale.low, scale.high]).toEqual([60, 120]);
  expect(scale.at(90)).toBeCloseTo(0.5, 12);
  expect(scale.at(70)).toBeCloseTo(1 / 6, 12);
});

test("values off the bar stick to its ends", () => {
  const scale = scaleOf(bands);
  expect(scale.at(-1000)).toBe(0);
  expect(scale.at(1000)).toBe(1);
});
