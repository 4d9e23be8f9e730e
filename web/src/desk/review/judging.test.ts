import { expect, test } from "vitest";
import type { FindingSeen, Judged } from "../../api/types";
import { accepted, dismissed, isOpen, linesOf, said, servedBy, unsaid } from "./judging";

const seen = (code: string, sure: boolean): FindingSeen =>
  ({ code, name: code, sure, because: [], drills: [], swings: [], meaning: "", caution: "" }) as unknown as FindingSeen;
const SWAY = seen("sway", true);
const UNDER = seen("under_set", false);
const lines = (judgements: Judged[]) => linesOf([UNDER, SWAY], judgements, (code) => code.toUpperCase());

test("clear ones come first, and the coach's own last", () => {
  const own = [accepted(null, "Grip"), accepted("arm_lift")];
  expect(lines(own).map((line) => line.name)).toEqual(["sway", "under_set", "Grip", "ARM_LIFT"]);
});

test("what is too close to call is open until it is called", () => {
  expect(lines([]).map(isOpen)).toEqual([false, true]);
  expect(lines([accepted("under_set")]).map(isOpen)).toEqual([false, false]);
  expect(lines([dismissed("under_set", "camera_aside")]).map(isOpen)).toEqual([false, false]);
});

test("saying it anew takes the place of what was said", () => {
  const twice = said(said([], accepted("sway")), dismissed("sway", "not_now"));
  expect(twice).toEqual([dismissed("sway", "not_now")]);
  expect(unsaid(twice, "sway")).toEqual([]);
  expect(said([accepted(null, "Grip")], accepted(null, "grip"))).toHaveLength(1);
});

test("drills serve what the coach agreed with, and until then what is clear", () => {
  expect(servedBy(lines([]))).toEqual(["sway"]);
  expect(servedBy(lines([dismissed("sway", "not_a_fault")]))).toEqual([]);
  expect(servedBy(lines([accepted("under_set")]))).toEqual(["under_set"]);
  expect(servedBy(lines([accepted("arm_lift")]))).toEqual(["arm_lift"]);
});
