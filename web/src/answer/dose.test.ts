import { expect, test } from "vitest";
import { doseWords } from "./dose";

test("a dose reads as a coach says it", () => {
  const dose = { sets: 3, reps: 8, pause_s: 2, days_per_week: 4, until: "2026-12-09" };
  expect(doseWords(dose)).toBe("3 sets of 8, 2 s pause, 4 days a week, until 9 December");
});

test("what is not prescribed is not said", () => {
  const dose = { sets: 1, reps: 20, pause_s: null, days_per_week: 7, until: null };
  expect(doseWords(dose)).toBe("1 set of 20, every day");
});
