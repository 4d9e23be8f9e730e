import { expect, test } from "vitest";
import type { Checkpoint, Opinion, Reading } from "../../api/types";
import { compared, isOpen, standingOf } from "./opinions";

const CHECKPOINTS = [
  { id: "lead_arm_shaft_angle", unit: "deg", name: "Lead arm to shaft" },
  { id: "chest_turn_at_top", unit: "deg", name: "Chest turn" },
] as unknown as Checkpoint[];

const reading = (value: number | null, more: Partial<Reading> = {}): Reading =>
  ({
    clip_id: "c",
    swing: 0,
    checkpoint: "lead_arm_shaft_angle",
    value,
    low: value === null ? null : value - 4,
    high: value === null ? null : value + 4,
    ...more,
  }) as Reading;

const opinion = (state: Opinion["state"], of: string | null = null, reader: string | null = null): Opinion =>
  ({
    state,
    question: { of: of === null ? null : { id: of, name: of } },
    reader: reader === null ? null : { id: reader, name: reader },
  }) as unknown as Opinion;

test("numbers that two coaches read otherwise stand beside each other", () => {
  const { differ, same } = compared([reading(84), reading(90, { checkpoint: "chest_turn_at_top" })], [reading(90), reading(90, { checkpoint: "chest_turn_at_top" })], CHECKPOINTS);
  expect(differ.map((one) => [one.checkpoint.name, one.mine.slice(0, 5), one.theirs.slice(0, 5)])).toEqual([["Lead arm to shaft", "84.0°", "90.0°"]]);
  expect(same.map((one) => one.checkpoint.name)).toEqual(["Chest turn"]);
});

test("what looks alike is no difference, another swing's number is no pair, and a missing one is told", () => {
  const alike = compared([reading(84)], [reading(84.0001)], CHECKPOINTS);
  expect([alike.differ.length, alike.same.length]).toEqual([0, 1]);
  const [one] = compared([reading(84)], [reading(84, { swing: 1 })], CHECKPOINTS).differ;
  expect(one?.theirs).toBe("");
  expect(compared([reading(null)], [reading(null)], CHECKPOINTS)).toEqual({ differ: [], same: [] });
});

test("where a question stands", () => {
  expect(standingOf(opinion("waiting"))).toContain("every colleague");
  expect(standingOf(opinion("waiting", "Rosa"))).toContain("Rosa’s queue");
  expect(standingOf(opinion("claimed", null, "Tom"))).toBe("Tom is looking at it.");
  expect(standingOf(opinion("answered", null, "Tom"))).toBe("Tom has answered.");
  expect([opinion("waiting"), opinion("claimed"), opinion("answered"), opinion("closed")].map(isOpen)).toEqual([true, true, false, false]);
});
