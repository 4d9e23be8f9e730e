import { expect, test } from "vitest";
import type { Checkpoint, Evidence, Together } from "../api/types";
import { apartWords, clearFirst, evidenceWords, swingWords } from "./together";

const TURN = { id: "chest_turn_at_parallel", name: "Chest turn", unit: "deg" } as Checkpoint;
const TEMPO = { id: "tempo_ratio", name: "Tempo", unit: "ratio" } as Checkpoint;
const seen = (more: Partial<Evidence>): Evidence => ({
  checkpoint: "chest_turn_at_parallel",
  unit: "deg",
  value: 10,
  low: 4,
  high: 16,
  missing: null,
  views: ["face-on"],
  ...more,
});
const read = (...swings: number[]): Together =>
  ({ read_from: swings.map((count) => ({ clip_id: "c", view: "face-on", swing: 0, swings: count })) }) as unknown as Together;

test("evidence says its number, its doubt and where it was seen", () => {
  expect(evidenceWords(seen({}), TURN, true)).toBe("Chest turn: 10.0° ± 6.0, face-on");
  expect(evidenceWords(seen({ views: ["face-on", "down-the-line"] }), TURN, false)).toBe(
    "Chest turn: 10.0°, give or take 6.0, face-on and down-the-line",
  );
});

test("evidence without a number gives its reason and no number", () => {
  const words = evidenceWords(seen({ value: null, low: null, high: null, missing: "No ground hit.", views: ["down-the-line"] }), TURN, true);
  expect(words).toBe("Chest turn: No ground hit, down-the-line");
});

test("a disagreement says both values in the words of its number", () => {
  expect(apartWords({ checkpoint: "tempo_ratio", face_on: 2.5, down_the_line: 3.5, unit: "ratio" }, TEMPO)).toBe(
    "2.5 to 1 face-on, 3.5 to 1 down-the-line",
  );
});

test("the swing is named only where there is a choice", () => {
  expect(swingWords(read(1, 1))).toBe("");
  expect(swingWords(read(1, 2))).toBe("Read from the first swing of each clip.");
});

test("clear findings come first and keep their order", () => {
  const findings = [
    { code: "sway", sure: false },
    { code: "arm_lift", sure: true },
    { code: "under_set", sure: true },
  ] as Together["findings"];
  expect(clearFirst(findings).map((finding) => finding.code)).toEqual(["arm_lift", "under_set", "sway"]);
});
