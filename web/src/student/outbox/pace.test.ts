import { expect, test } from "vitest";
import { leftWords, secondsLeft, withArrival, type Arrival } from "./pace";

/** Parts of `bytes`, one every `seconds`, from the start at 0. */
const parts = (count: number, bytes: number, seconds: number): Arrival[] =>
  Array.from({ length: count + 1 }, (_, at) => ({ ms: 1000 * seconds * at, bytes: bytes * at }));

test("the time left is what has not arrived at the pace of what has", () => {
  // 128 kB every 4 s are 32 kB a second; 960 kB more take 30 s.
  expect(secondsLeft(parts(3, 128_000, 4), 960_000, 12_000)).toBeCloseTo(30, 9);
});

test("nothing is told from too little", () => {
  expect(secondsLeft([], 1, 0)).toBeNull();
  expect(secondsLeft(parts(1, 128_000, 5), 1000, 5_000)).toBeNull();
  expect(secondsLeft(parts(2, 128_000, 1), 1000, 2_000)).toBeNull();
  expect(secondsLeft(parts(4, 0, 2), 1000, 8_000)).toBeNull();
});

test("while the next part is overdue the time grows", () => {
  const arrived = parts(3, 128_000, 4);
  expect(secondsLeft(arrived, 960_000, 19_000)).toBeCloseTo(30, 9);
  expect(secondsLeft(arrived, 960_000, 24_000)).toBeCloseTo(60, 9);
  expect(secondsLeft(arrived, 960_000, 48_000)).toBeCloseTo(120, 9);
});

test("an old pace is forgotten, but never the last two parts", () => {
  let quick = parts(10, 128_000, 1);
  for (const ms of [50_000, 90_000, 130_000]) quick = withArrival(quick, { ms, bytes: (quick.at(-1)?.bytes ?? 0) + 40_000 });
  expect(secondsLeft(quick, 10_000, 130_000)).toBeCloseTo(10, 9);
});

test("said in round words, rather too long than too short", () => {
  expect([null, 12, 60, 61, 200, 3_541, 4_000, 100_000].map(leftWords)).toEqual([
    "",
    "Less than a minute left.",
    "Less than a minute left.",
    "About 2 min left at this pace.",
    "About 4 min left at this pace.",
    "Up to 1 h left at this pace.",
    "Up to 2 h left at this pace.",
    "More than a day left at this pace: the signal is very weak.",
  ]);
});
