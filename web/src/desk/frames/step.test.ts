import { expect, test } from "vitest";
import { inStep, nearestFrame, stepWords, ties, whyNot, type Instant } from "./step";

const at60 = Array.from({ length: 240 }, (_, index) => index / 60);
const at30 = Array.from({ length: 120 }, (_, index) => index / 30);
const uneven = at60.map((time, index) => time + (index % 3) * 0.004);
const name = (id: string): string => id.charAt(0).toUpperCase() + id.slice(1);
const instants = (frames: Record<string, number | null>): Instant[] => Object.entries(frames).map(([id, frame]) => ({ id, frame }));

const quick = instants({ address: 40, takeaway: 60, top: 108, impact: 124 });
const slow = instants({ address: 10, takeaway: 20, top: 68, impact: 92 });

test("at an instant the other clip stands at the very frame of its same instant", () => {
  for (const theirTimes of [at30, uneven]) {
    const tied = ties(quick, at60, slow, theirTimes);
    quick.forEach(({ frame }, index) => expect(inStep(tied, frame ?? -1, at60, theirTimes)?.frame).toBe(slow[index]?.frame));
  }
});

test("between two instants the other clip is as far on, whatever its speed", () => {
  const tied = ties(quick, at60, slow, at30);
  expect(inStep(tied, 84, at60, at30)).toEqual({ frame: 44, after: "takeaway", before: "top", share: expect.closeTo(0.5, 9) });
  expect(inStep(tied, 116, at60, at30)?.frame).toBe(80);
});

test("outside them it keeps its distance in seconds, and stays in the clip", () => {
  const tied = ties(quick, at60, slow, at30);
  expect(inStep(tied, 30, at60, at30)).toMatchObject({ frame: 5, after: null, before: "address" });
  expect(inStep(tied, 0, at60, at30)?.frame).toBe(0);
  expect(inStep(tied, 144, at60, at30)).toMatchObject({ frame: 102, after: "impact", before: null });
  expect(inStep(tied, 239, at60, at30)?.frame).toBe(119);
});

test("where one lacks an instant the next ones that both have are used", () => {
  const tied = ties(quick, at60, instants({ address: 10, takeaway: null, impact: 94 }), at30);
  expect(tied.map((tie) => tie.id)).toEqual(["address", "impact"]);
  expect(inStep(tied, 82, at60, at30)).toMatchObject({ frame: 52, after: "address", before: "impact", share: expect.closeTo(0.5, 9) });
});

test("an instant that would make the other run backwards is left out", () => {
  const tied = ties(quick, at60, instants({ address: 10, takeaway: 5, top: 68, impact: 94 }), at30);
  expect(tied.map((tie) => tie.id)).toEqual(["address", "top", "impact"]);
});

test("with fewer than two in common it says why there is no step", () => {
  expect(whyNot(ties(quick, at60, slow, at30), name)).toBe("");
  const one = ties(quick, at60, instants({ top: 68 }), at30);
  expect(whyNot(one, name)).toBe("These clips cannot go in step: top is the only instant that both have.");
  expect(inStep(one, 60, at60, at30)).toBeNull();
  expect(whyNot([], name)).toBe("These clips cannot go in step: they have no instant in common.");
});

test("where it stands is said in words", () => {
  const tied = ties(quick, at60, slow, at30);
  const words = (frame: number): string => stepWords(inStep(tied, frame, at60, at30)!, name);
  expect([words(0), words(60), words(84), words(200)]).toEqual([
    "Before address",
    "At takeaway",
    "50 % of the way from takeaway to top",
    "At or after impact",
  ]);
});

test("the nearest frame is the nearer of two, the first and the last at the ends", () => {
  expect([-1, 0.49, 0.51, 9].map((at) => nearestFrame([0, 1, 2], at))).toEqual([0, 0, 1, 2]);
});
