import { expect, test, vi } from "vitest";
import type { DraftWords, Drill, DrillChoice, Review } from "../../api/types";
import { checksOf } from "./checks";

const drill = { id: "stop", name: "Stop and look", caution: "Clear the space." } as unknown as Drill;
const choice: DrillChoice = { drill_id: "stop", sets: 1, reps: 1, pause_s: null, days_per_week: 1, until: null, note: "", start: null, ball: null, proof: true };
const draft: DraftWords = { text: "Stop.", later: [], judgements: [], by_eye: [], drawings: [], drills: [choice], what_changed: "" };
const review = (...findings: object[]): Review => ({ findings, corrects: null }) as unknown as Review;
const today = new Date("2026-11-29T12:00:00Z");
const said = (words: Partial<DraftWords>, of = review(), library = [drill]): string[] =>
  checksOf(of, { ...draft, ...words }, library, null, today).map((check) => `${check.blocks ? "!" : ""}${check.words}`);

test("a whole answer has nothing to look at", () => {
  expect(said({})).toEqual([]);
});

test("without words nothing goes out", () => {
  expect(said({ text: "  " })).toEqual(["!Write at least the one main thing before you send."]);
});

test("a correction says what has changed", () => {
  const correcting = { ...review(), corrects: 1 } as Review;
  expect(said({ what_changed: " " }, correcting)).toEqual(["!Say what has changed: the student has read the answer from before."]);
  expect(said({ what_changed: "The wrong moment." }, correcting)).toEqual([]);
});

test("a field that was not filled, a finding that nobody called and no drill are told and stop nothing", () => {
  const open = review({ code: "sway", name: "Sway", sure: false });
  expect(said({ text: "Hold [Pause length].", drills: [] }, open)).toEqual([
    "[Pause length] was not filled.",
    "1 finding is open and will be told as too close to call.",
    "There is no drill: nothing to practise until the next clip.",
  ]);
});

test("a drill without a caution, or that ends before it begins, does not go out", () => {
  expect(said({}, review(), [{ ...drill, caution: " " } as Drill])[0]).toMatch(/^!Stop and look has no caution/);
  expect(said({ drills: [{ ...choice, start: "2026-12-10", until: "2026-12-01" }] })).toEqual(["!Stop and look: ends before it begins."]);
  expect(said({ drills: [{ ...choice, until: "2026-11-28" }] })).toEqual(["Stop and look ended before today."]);
});

test("a drill ends with the day where the coach is", () => {
  vi.stubEnv("TZ", "America/Los_Angeles");
  const evening = new Date("2026-11-30T03:00:00Z");
  expect(checksOf(review(), { ...draft, drills: [{ ...choice, until: "2026-11-29" }] }, [drill], null, evening)).toEqual([]);
  vi.unstubAllEnvs();
});

test("an unfinished dose stops it, by the drill's name", () => {
  expect(said({ drills: [{ ...choice, sets: null as never }] })).toEqual(["!Stop and look: sets: a whole number from 1 to 20."]);
});

test("what was begun beside the answer and neither added nor placed is told and stops nothing", () => {
  const begun = { finding: "Grip too strong", label: "Here" };
  expect(checksOf(review(), draft, [drill], null, today, begun)).toEqual([
    { words: "“Grip too strong” is written as a finding of your own and not added.", blocks: false },
    { words: "“Here” is written as a label and not placed.", blocks: false },
  ]);
});

test("a child's guardian is named, and without consent nothing goes out", () => {
  const told = (whom: Parameters<typeof checksOf>[3]): string[] =>
    checksOf(review(), { ...draft, text: "Good." }, [drill], whom, today)
      .filter((check) => check.words.includes("child") || check.words.includes("consent"))
      .map((check) => `${check.blocks ? "!" : ""}${check.words}`);
  expect(told({ child: true, guardian: "Iris", consent: "valid" })).toEqual(["A child: Iris reads what you send."]);
  expect(told({ child: true, guardian: "Iris", consent: "guardian_asked" })[0]).toMatch(/^!A child, and Iris has not agreed/);
  expect(told({ child: true, guardian: null, consent: "guardian_missing" })[0]).toMatch(/^!A child without a guardian/);
  expect(told({ child: false, guardian: null, consent: "withdrawn" })[0]).toMatch(/^!The student's consent is missing/);
  expect(told({ child: false, guardian: null, consent: "valid" })).toEqual([]);
});
