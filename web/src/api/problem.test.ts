import { expect, test } from "vitest";
import { Problem, problemFrom, wordsOf } from "./problem";

const refused = (where: string, message: string): string =>
  wordsOf(problemFrom(422, { code: "invalid", title: "A value is not valid", detail: `${where}: ${message}`, fields: [{ where, message }] }));

test("a refusal of a field is said once, with the field's name and without the way to it", () => {
  expect(refused("body.drills.0.days_per_week", "Input should be less than or equal to 7")).toBe("Days per week: should be less than or equal to 7.");
});

test("a check's own sentence stays as it is", () => {
  expect(refused("body.text", "Say it in fewer words.")).toBe("Say it in fewer words.");
});

test("any other problem is its message", () => {
  expect(wordsOf(new Problem(409, "already_claimed", "Another coach has this review."))).toBe("Another coach has this review.");
});
