import { expect, test } from "vitest";
import type { Checkpoint, Lesson } from "../api/types";
import { byPipeline, clipsWords, lessonWords, spreadWords } from "./lessons";

const ANGLE = { id: "lead_arm_shaft_angle", unit: "deg" } as Checkpoint;
const lesson = (more: Partial<Lesson> = {}): Lesson => ({
  checkpoint: "lead_arm_shaft_angle",
  unit: "deg",
  view: "face-on",
  rate: "from_45",
  pipeline: "2",
  corrections: 12,
  left_alone: 4,
  bias: 2.1,
  bias_sigma: 0.4,
  spread: 0,
  ...more,
});

test("a lesson says how far and to which side, and how sure that is", () => {
  expect(clipsWords(lesson())).toBe("Face-on clips of 45 pictures a second or more");
  expect(lessonWords(lesson(), ANGLE, 3)).toBe("On 12 corrections the machine read 2.1° too high, give or take 0.8°.");
  expect(lessonWords(lesson({ bias: -2.1, rate: "under_45" }), ANGLE, 3)).toContain("2.1° too low");
});

test("too few say that nothing is learnt yet", () => {
  const few = lesson({ corrections: 1, bias: null, bias_sigma: null, spread: null });
  expect(lessonWords(few, ANGLE, 3)).toBe("1 correction: nothing learnt yet. It takes 3.");
  expect(spreadWords(few, ANGLE)).toBe("");
});

test("scatter beyond what was stated is said where there is any", () => {
  expect(spreadWords(lesson(), ANGLE)).toBe("");
  expect(spreadWords(lesson({ spread: 1.5 }), ANGLE)).toBe("What that leaves unsure, 2.9° to either side, is added to its own doubt.");
});

test("versions keep the order in which they came", () => {
  const all = [lesson(), lesson({ pipeline: "10" }), lesson({ view: "down-the-line" })];
  expect(byPipeline(all).map((version) => [version.pipeline, version.lessons.length])).toEqual([
    ["2", 2],
    ["10", 1],
  ]);
});
