import { expect, test } from "vitest";
import type { Phrase } from "../../api/types";
import { fieldsAt, filled, found, GAP, inserted, type At } from "./phrases";

const checkpoint = {
  id: "lead_arm_shaft_angle",
  name: "Lead arm to shaft angle",
  unit: "deg",
  bands: { watch_low: 70, good_low: 80, good_high: 100, watch_high: 112 },
};
const reading = (value: number | null, own: object | null = null) => ({ checkpoint: checkpoint.id, value, own_bands: own });
const at = (readings: object[], more: object = {}): At =>
  ({
    review: { submission: { student: { name: "Dr. Mira Ostwald", language: "en-GB" }, club: { name: "7 iron" } }, readings },
    checkpoints: [checkpoint],
    drills: [{ drill_id: "stop-and-look", until: "2026-12-13" }],
    library: [{ id: "stop-and-look", name: "Stop with the lead arm level" }],
    ...more,
  }) as unknown as At;

test("fields become what this review says", () => {
  const body = "{student}, with the {club} it was {lead_arm_shaft_angle}; we want { target lead_arm_shaft_angle }. {drill} until {until}.";
  expect(filled(body, at([reading(86.44)]))).toBe(
    "Mira, with the 7 iron it was 86.4°; we want 80 to 100°. Stop with the lead arm level until 13 December.",
  );
});

test("numbers and dates in a phrase are written as the student writes them, whatever the coach reads", () => {
  const body = "{lead_arm_shaft_angle}, {target lead_arm_shaft_angle}, {until}";
  const reads = (language: string): At => {
    const one = at([reading(86.44, { watch_low: 80, good_low: 84.5, good_high: 95, watch_high: 99 })]);
    one.review.submission.student.language = language;
    return one;
  };
  expect(filled(body, reads("de"))).toBe("86,4°, 84,5 to 95°, 13. Dezember");
  expect(filled(body, reads("ar-EG"))).toBe("\u2068٨٦٫٤°\u2069, \u2068٨٤٫٥\u2069 to \u2068٩٥°\u2069, \u2068١٣ ديسمبر\u2069");
  expect(GAP.test(filled(body, reads("ar-EG")))).toBe(false);
});

test("the student's own target is the target", () => {
  const own = { watch_low: 80, good_low: 85, good_high: 95, watch_high: 99 };
  expect(filled("{target lead_arm_shaft_angle}", at([reading(86, own)]))).toBe("85 to 95°");
});

test("what nothing fills stays to be seen", () => {
  const bare = at([reading(null)], { drills: [], library: [] });
  const words = filled("{lead_arm_shaft_angle}, {drill}, {until}", bare);
  expect(words).toBe("[Lead arm to shaft angle], [drill], [until when]");
  expect(GAP.test(words)).toBe(true);
  expect(GAP.test("an answer (with brackets of another kind)")).toBe(false);
});

test("only numbers that were measured are offered", () => {
  expect(fieldsAt(at([reading(86)])).map((one) => one.field)).toContain("target lead_arm_shaft_angle");
  expect(fieldsAt(at([reading(null)])).map((one) => one.field)).not.toContain("lead_arm_shaft_angle");
});

test("phrases are found by all the words, one's own first", () => {
  const phrase = (name: string, shared: boolean): Phrase => ({ id: name, version: 1, name, body: "Stop and look.", shared });
  const all = [phrase("Ours", true), phrase("Mine", false)];
  expect(found(all, "LOOK stop").map((one) => one.name)).toEqual(["Mine", "Ours"]);
  expect(found(all, "ours stop").map((one) => one.name)).toEqual(["Ours"]);
});

test("words stand apart from what was there, and the cursor is behind them", () => {
  expect(inserted("Good.Next", 5, 5, "Stop.")).toEqual({ text: "Good. Stop. Next", cursor: 11 });
  expect(inserted("", 0, 0, "Stop.")).toEqual({ text: "Stop.", cursor: 5 });
  expect(inserted("a b c", 2, 3, "x")).toEqual({ text: "a x c", cursor: 3 });
});
