import { expect, test } from "vitest";
import { slowWords } from "./slow";

test("seconds of a slow swing say whose they are, others need not", () => {
  expect(slowWords({ inputs: { plays_slowly: 1 } })).toContain("the film's own seconds");
  expect(slowWords({ inputs: { from_s: 1 } })).toBe("");
});
