import { expect, test } from "vitest";
import { around, loopFrame, REST_S, type Loop } from "./loop";

const steady = Array.from({ length: 240 }, (_, index) => index / 60);
const uneven = [0, 0.0166, 0.05, 0.0504, 0.1, 0.2, 0.21, 0.3];
const moments = Array.from({ length: 4000 }, (_, index) => index / 173);

const loopOf = (from: number, to: number, rate = 0.25, there_and_back = false): Loop => ({ from, to, rate, there_and_back });

test("a loop never shows a frame outside its ends, and shows both of them", () => {
  for (const times of [steady, uneven]) {
    for (const back of [false, true]) {
      const seen = new Set(moments.map((at) => loopFrame(times, loopOf(2, 6, 0.25, back), at)));
      expect([...seen].sort((one, other) => one - other)).toEqual([2, 3, 4, 5, 6]);
    }
  }
});

test("it goes on at its speed, rests at the end and begins again", () => {
  const loop = loopOf(60, 120, 0.25);
  expect(loopFrame(steady, loop, 0)).toBe(60);
  expect(loopFrame(steady, loop, 2)).toBe(90);
  expect(loopFrame(steady, loop, 4)).toBe(120);
  expect(loopFrame(steady, loop, 4 + REST_S - 0.01)).toBe(120);
  expect(loopFrame(steady, loop, 4 + REST_S + 0.01)).toBe(60);
});

test("there and back returns the way it came, with a rest at either end", () => {
  const loop = loopOf(60, 120, 0.25, true);
  const back = 4 + REST_S;
  expect(loopFrame(steady, loop, back + 0.001)).toBe(119);
  expect(loopFrame(steady, loop, back + 2.001)).toBe(89);
  expect(loopFrame(steady, loop, back + 4.1)).toBe(60);
  expect(loopFrame(steady, loop, 2 * back + 2)).toBe(90);
});

test("a loop round a frame ends where the clip does", () => {
  expect(around(100, 240)).toEqual({ from: 97, to: 103 });
  expect(around(1, 240)).toEqual({ from: 0, to: 4 });
  expect(around(238, 240)).toEqual({ from: 235, to: 239 });
});
