import { expect, test } from "vitest";
import { scaleOf } from "./scale";

const bands = { watch_low: 70, good_low: 80, good_high: 100, watch_high: 110 };

test("the bar reaches a quarter of the watch span beyond its limits", () => {
  const scale = scaleOf(bands, { low: 85, high: 95 });
  expect([scale.low, scale.high]).toEqual([60, 120]);
  expect(scale.at(90)).toBeCloseTo(0.5, 12);
  expect(scale.at(70)).toBeCloseTo(1 / 6, 12);
});

test("values off the bar stick to its ends", () => {
  const scale = scaleOf(bands, { low: 85, high: 95 });
  expect(scale.at(-1000)).toBe(0);
  expect(scale.at(1000)).toBe(1);
});

test("the bar stretches to hold an interval that lies beyond it", () => {
  const scale = scaleOf(bands, { low: 101.5, high: 125.5 });
  expect([scale.low, scale.high]).toEqual([60, 125.5]);
  expect(scale.at(113.5)).toBeLessThan(1);
});

test("without a reading the bar is the bands' own", () => {
  expect(scaleOf(bands, { low: null, high: null }).high).toBe(120);
});
