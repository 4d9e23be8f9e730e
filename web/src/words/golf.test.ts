import { describe, expect, it } from "vitest";
import { bound, target } from "./golf";

describe("a target in words", () => {
  it("has its unit once and no digits that nobody set", () => {
    expect(target(80, 100, "deg")).toBe("80 to 100°");
    expect(target(0, 1, "grip")).toBe("0 to 1 grip lengths");
  });

  it("stands at its ends as plain numbers", () => {
    expect(bound(80, "deg")).toBe("80°");
    expect(bound(-0.5, "grip")).toBe("\u22120.5");
  });
});
