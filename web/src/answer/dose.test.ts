import { expect, test } from "vitest";
import { doseWords } from "./dose";

test("a dose reads as a coach says it", () => {
  const dose = { sets: 3, reps: 8, pause_s: 2, days_per_week: 4, until: "2026-12-09", start: null, ball: null };
  expect(doseWords(dose)).toBe("3 sets of 8, 2 s pause, 4 days a week, until 9 December");
});

test("what is not prescribed is not said", () => {
  const dose = { sets: 1, reps: 20, pause_s: null, days_per_week: 7, until: null, start: null, ball: null };
  expect(doseWords(dose)).toBe("1 set of 20, every day");
});

test("a first day and the ball are said where they were chosen", () => {
  const dose = { sets: 1, reps: 5, pause_s: null, days_per_week: 7, until: null, start: "2026-12-01", ball: false };
  expect(doseWords(dose)).toBe("1 set of 5, every day, without a ball, from 1 December");
});

test("a dose is written as the student writes numbers and dates", () => {
  const dose = { sets: 3, reps: 8, pause_s: 1.5, days_per_week: 4, until: "2026-12-09", start: null, ball: null };
  expect(doseWords(dose, "de")).toBe("3 sets of 8, 1,5 s pause, 4 days a week, until 9. Dezember");
  expect(doseWords(dose, "ar-EG")).toContain("\u2068١٫٥\u2069 s pause");
});
