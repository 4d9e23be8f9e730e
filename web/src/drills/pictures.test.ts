import { expect, test } from "vitest";
import { picturesOf } from "./pictures";

test("a drill's pictures come in the order of its steps, each with a file and words", () => {
  const shown = picturesOf("diagonal-hinge");
  expect(shown.map((one) => one.caption)[0]).toMatch(/^Stand tall/);
  expect(shown).toHaveLength(3);
  for (const one of shown) {
    expect(one.url).toMatch(/\.svg/);
    expect(one.alt).not.toBe("");
  }
});

test("a drill that nobody has drawn has none", () => {
  expect(picturesOf("a-drill-of-tomorrow")).toEqual([]);
});
