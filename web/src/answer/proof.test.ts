import { expect, test } from "vitest";
import type { Asked, Checkpoint, KeyframeId } from "../api/types";
import { asAsked, askedKey, askedWords, limits, reasons, seenWords, swingsWords, VERDICT_MARKS, VERDICT_WORDS, verdictWords } from "./proof";

const define = (id: Checkpoint["id"], unit: Checkpoint["unit"], name = id as string): Checkpoint => ({ id, unit, name }) as Checkpoint;
const ask = (checkpoint: Asked["checkpoint"], least: number | null, most: number | null): Asked =>
  ({ checkpoint, part: "value", where: null, least, most, verdict: "met", why: "", value: null, low: null, high: null }) as Asked;

test("what a drill asked for reads as the end of a sentence", () => {
  expect(askedWords(ask("lead_arm_shaft_angle", 80, 100), define("lead_arm_shaft_angle", "deg"))).toBe("a lead arm to shaft angle of 80 to 100°");
  expect(askedWords(ask("butt_end_inside", 0, 1), define("butt_end_inside", "grip"))).toBe(
    "a grip end that points 0 to 1 grip lengths inside the ball line",
  );
  expect(askedWords(ask("pause_length", 1.6, null), define("pause_length", "s"))).toBe("a pause of at least 1.6 seconds");
  expect(askedWords(ask("finish_hold", 2, null), define("finish_hold", "s"))).toBe("a finish held for at least 2 seconds");
});

test("which swing it is told of, and how many show it", () => {
  const both: Checkpoint = { ...define("pause_length", "s"), views: ["face-on", "down-the-line"] };
  const one: Checkpoint = { ...define("lead_arm_shaft_angle", "deg"), views: ["face-on"] };
  const told = (checkpoint: Checkpoint, clips: number, more: Partial<Asked>): string =>
    swingsWords({ ...ask(checkpoint.id, 1.6, null), view: "face-on", swing: 1, swings: 3, swings_met: 1, swings_unseen: 0, ...more }, checkpoint, clips);
  expect(told(both, 1, {})).toBe("Swing 2: 1 of 3 swings shows it");
  expect(told(both, 2, { swings_met: 2, swings_unseen: 1 })).toBe("Swing 2, face-on: 2 of 3 swings show it, 1 could not be seen");
  expect(told(both, 2, { swing: 0, swings: 2, verdict: "not_met" })).toBe("Face-on: 1 of 2 swings shows it");
  expect(told(one, 2, { swing: 0, swings: 2 })).toBe("Swing 1: 1 of 2 swings shows it");
  expect(told(both, 1, { swings_met: 3 })).toBe("Swing 2: all 3 swings show it");
  expect(told(both, 1, { swings_met: 0, verdict: "not_seen", swings_unseen: 3 })).toBe("None of 3 swings shows it, 3 could not be seen");
});

test("a single swing, and an answer from before they were counted, say nothing of it", () => {
  const pause = define("pause_length", "s");
  const counted = { view: "face-on" as const, swing: 0, swings: 1, swings_met: 1, swings_unseen: 0 };
  expect(swingsWords({ ...ask("pause_length", 1.6, null), ...counted }, { ...pause, views: ["face-on"] }, 1)).toBe("");
  const old = { view: null, swing: null, swings: null, swings_met: null, swings_unseen: null };
  expect(swingsWords({ ...ask("pause_length", 1.6, null), ...old }, { ...pause, views: ["face-on"] }, 1)).toBe("");
});

test("a pause says where it was asked for", () => {
  const pause = ask("pause_length", 1.6, null);
  const where = (place: KeyframeId | null): string => askedWords({ ...pause, where: place }, define("pause_length", "s"));
  expect(where("lead_arm_parallel")).toBe("a pause of at least 1.6 seconds with the lead arm level");
  expect(where("hands_past_trail_leg")).toBe("a pause of at least 1.6 seconds with your hands before the trail thigh");
  expect(where("top")).toBe("a pause of at least 1.6 seconds at the top");
});

test("the stop with the shaft at 45 degrees is told in degrees, the hands in it in shoulder widths", () => {
  const hinge = define("hands_over_trail_shoulder", "shoulder");
  const shaft: Asked = { ...ask("hands_over_trail_shoulder", 35, 55), part: "shaft", unit: "deg", value: 68, low: 62, high: 74 };
  const hands: Asked = { ...ask("hands_over_trail_shoulder", -0.3, 0.3), unit: "shoulder" };
  expect(askedWords(shaft, hinge)).toBe("a stop with the shaft at 35 to 55°");
  expect(seenWords(shaft, asAsked(shaft, hinge), false)).toBe("68.0°, give or take 6.0");
  expect(askedWords(hands, hinge)).toBe("hands before the trail shoulder in that stop, at \u22120.3 to 0.3 shoulder widths");
  expect(askedKey(shaft)).not.toBe(askedKey(hands));
});

test("a number without words of its own goes by its name", () => {
  expect(askedWords(ask("knee_flex", 12, 30), define("knee_flex", "deg", "Trail knee flex at address"))).toBe("“Trail knee flex at address” at 12 to 30°");
});

test("one limit says its unit, and no more digits than were asked", () => {
  const pause = define("pause_length", "s");
  expect(limits({ least: 0.8 * 2, most: null }, pause)).toBe("at least 1.6 seconds");
  expect(limits({ least: 0.8 * 3, most: null }, pause)).toBe("at least 2.4 seconds");
  expect(limits({ least: 4, most: null }, pause)).toBe("at least 4 seconds");
  expect(limits({ least: null, most: 5 }, define("wrist_set_kept", "deg"))).toBe("at most 5°");
  expect(limits({ least: null, most: -0.5 }, define("pelvis_sway", "stance"))).toBe("at most \u22120.5 stance widths");
});

test("verdicts are four different things, each with a mark and a word", () => {
  expect(new Set(Object.values(VERDICT_WORDS)).size).toBe(4);
  expect(new Set(Object.values(VERDICT_MARKS)).size).toBe(4);
  expect(verdictWords("met", 1)).toBe("this clip shows it");
  expect(verdictWords("met", 2)).toBe("your clips show it");
  expect(verdictWords("not_met", 1)).toBe("not yet");
});

test("what was measured goes with its doubt, and nothing is said of what was not", () => {
  const angle = define("lead_arm_shaft_angle", "deg");
  expect(seenWords({ value: 90, low: 84, high: 96 }, angle, false)).toBe("90.0°, give or take 6.0");
  expect(seenWords({ value: 90, low: 84, high: 96 }, angle, true)).toBe("90.0° ± 6.0");
  expect(seenWords({ value: null, low: null, high: null }, angle, false)).toBe("");
});

test("a reason that several share in a row is said once, under the last of them", () => {
  const said = (...whys: string[]): string[] => reasons(whys.map((why) => ({ why })));
  expect(said("dark", "dark", "")).toEqual(["", "dark", ""]);
  expect(said("dark", "", "dark")).toEqual(["dark", "", "dark"]);
  expect(said("dark", "hidden")).toEqual(["dark", "hidden"]);
});

test("limits and what was seen are written as the student writes numbers", () => {
  const pause = define("pause_length", "s");
  expect(limits(ask("pause_length", 1.6, null), pause, "de")).toBe("at least 1,6 seconds");
  expect(limits(ask("butt_end_inside", -0.5, null), define("butt_end_inside", "grip"), "de")).toBe("at least \u22120,5 grip lengths");
  expect(seenWords({ value: 2.4, low: 2.3, high: 2.5 }, pause, false, "fr")).toBe("2,40 seconds, give or take 0,10");
});
