import { expect, test } from "vitest";
import type { Adjusted, Checkpoint, OwnBands } from "../api/types";
import { adjustedForStudent, adjustedWords, judgedBy, ownTargetForStudent } from "./told";

const checkpoint = (id: Checkpoint["id"], unit: Checkpoint["unit"]): Checkpoint => ({
  id,
  name: id,
  meaning: "",
  views: ["face-on"],
  keyframe: "lead_arm_parallel",
  moment: "",
  main: true,
  unit,
  points: [],
  bands: { watch_low: 70, good_low: 80, good_high: 100, watch_high: 112 },
  bands_source: "",
});
const ANGLE = checkpoint("lead_arm_shaft_angle", "deg");
const GRIP_END = checkpoint("butt_end_inside", "grip");
const ADJUSTED: Adjusted = {
  machine_value: 90,
  machine_low: 84,
  machine_high: 96,
  bias: 2.1,
  bias_sigma: 0.4,
  spread: 1,
  corrections: 12,
  left_alone: 3,
};
const OWN: OwnBands = { id: "b", club: null, watch_low: 78, good_low: 85, good_high: 95, watch_high: 105, reason: "", set_by: "Rosa" };

test("the coach reads what was done and the machine's own number", () => {
  expect(adjustedWords(ADJUSTED, ANGLE)).toBe(
    "Adjusted by the coaches' 12 corrections: 2.1° taken off, and the doubt made wider. The machine's own number is 90.0°, give or take 6.0.",
  );
});

test("a doubt that stays as it is is not called wider", () => {
  expect(adjustedWords({ ...ADJUSTED, spread: 0 }, ANGLE)).toMatch(/: 2\.1° taken off\. The machine/);
});

test("a machine that read too low gets something added, in the number's own unit", () => {
  const low = { ...ADJUSTED, machine_value: 0.4, machine_low: 0.1, machine_high: 0.7, bias: -0.12, corrections: 1 };
  expect(adjustedWords(low, GRIP_END)).toContain("the coaches' 1 correction: 0.12 grip lengths added");
});

test("the student reads the same in their own words", () => {
  expect(adjustedForStudent(ADJUSTED, ANGLE)).toBe(
    "The machine read 90.0°, give or take 6.0. Your academy's coaches have corrected this number on other clips (12 corrections), so it was adjusted: 2.1° taken off.",
  );
});

test("a target of one's own takes the place of the usual one, and without it nothing changes", () => {
  expect(judgedBy(ANGLE, null)).toBe(ANGLE);
  expect(judgedBy(ANGLE, OWN).bands).toEqual({ watch_low: 78, good_low: 85, good_high: 95, watch_high: 105 });
  expect(ANGLE.bands?.good_low).toBe(80);
});

test("the student is told that the target is their coach's own for them", () => {
  expect(ownTargetForStudent({ own_bands: null }, ANGLE)).toBe("");
  expect(ownTargetForStudent({ own_bands: OWN }, ANGLE)).toBe("Your coach's own target for you: 85 to 95°.");
  const told = { ...OWN, club: "7 iron", reason: "Your wrists are stiff." };
  expect(ownTargetForStudent({ own_bands: told }, ANGLE)).toBe(
    "Your coach's own target for you: 85 to 95° with the 7 iron.", // the reason is written apart, as the coach's own words
  );
});
