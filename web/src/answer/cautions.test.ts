import { expect, test } from "vitest";
import { shareCautions } from "./cautions";

test("what all drills end with is said once, what one adds stays with it, and no word is lost", () => {
  const split = shareCautions(["Open your eyes. Warm up first. Stop if it hurts.", "Warm up first. Stop if it hurts."]);
  expect(split).toEqual({ own: ["Open your eyes.", ""], shared: "Warm up first. Stop if it hurts." });
});

test("one drill keeps its caution whole", () => {
  expect(shareCautions(["Warm up first."])).toEqual({ own: ["Warm up first."], shared: "" });
  expect(shareCautions([])).toEqual({ own: [], shared: "" });
});

test("drills that share no ending keep their own", () => {
  expect(shareCautions(["Go slowly.", "Look round."])).toEqual({ own: ["Go slowly.", "Look round."], shared: "" });
});
