import { expect, test } from "vitest";
import { clampFrame, frameAt, gapAfter, seekTarget } from "./seek";

const steady = Array.from({ length: 240 }, (_, index) => index / 60);
const uneven = [0, 0.0166, 0.05, 0.0504, 0.1];

test("a seek lands one millisecond into the frame", () => {
  expect(seekTarget(steady, 93)).toBeCloseTo(93 / 60 + 0.001, 12);
});

test("a seek never passes the middle of a short frame", () => {
  expect(seekTarget(uneven, 2)).toBeCloseTo(0.05 + 0.0002, 12);
});

test("the last frame borrows the gap before it, and a lone frame has one", () => {
  expect(gapAfter(uneven, 4)).toBeCloseTo(0.0496, 12);
  expect(seekTarget([0], 0)).toBeCloseTo(0.0005, 12);
  expect(() => gapAfter(uneven, 5)).toThrow(RangeError);
});

test("every seek target is shown by its own frame, on steady and uneven clips", () => {
  for (const times of [steady, uneven, [0]]) {
    times.forEach((_, index) => expect(frameAt(times, seekTarget(times, index))).toBe(index));
  }
});

test("before the first frame and after the last one there is still a frame", () => {
  expect(frameAt(steady, -1)).toBe(0);
  expect(frameAt(steady, 1e6)).toBe(239);
  expect(clampFrame(steady, -10)).toBe(0);
  expect(clampFrame(steady, 1000)).toBe(239);
});
