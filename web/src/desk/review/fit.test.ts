import { expect, test } from "vitest";
import { pictureHeight } from "./fit.svelte";

test("the picture takes what the rest leaves, and no less than shows where a hand is", () => {
  expect(pictureHeight(900, 190, 220)).toBe(478);
  expect(pictureHeight(768, 520, 220)).toBe(240);
});
