import { describe, expect, it } from "vitest";
import type { Changed } from "../../api/types";
import { changedWords, interest, movedWords } from "./changed";

const of = (difference: number, moved: Changed["moved"]): Changed => ({ since: "x", difference, least: 5.54, moved });

describe("a change in words", () => {
  it("calls nothing real that measuring twice explains", () => {
    expect(changedWords(of(-2, "not_clear"), "deg")).toBe(
      "No clear change since the clip before: it differs by 2.0°, and measuring twice can differ by 5.5°.",
    );
  });

  it("says which way for what has a target, and up or down for what has none", () => {
    expect(changedWords(of(-21, "nearer"), "deg")).toContain("Nearer to the target by 21.0°");
    expect(changedWords(of(21, "farther"), "deg")).toContain("Farther from the target by 21.0°");
    expect(changedWords(of(-21, "changed"), "deg")).toMatch(/^Down by 21.0°/);
  });

  it("says how a tempo differs as a plain number", () => {
    expect(changedWords({ ...of(-0.1, "not_clear"), least: 0.28 }, "to_one")).toContain("differs by 0.10, and measuring twice can differ by 0.28.");
  });

  it("puts what really moved first", () => {
    expect(interest(of(9, "nearer"))).toBeGreaterThan(interest(of(1, "not_clear")));
    expect(interest(of(1, "not_clear"))).toBeGreaterThan(interest(null));
  });

  it("says that nothing changed only where something was compared", () => {
    expect(movedWords([null, null])).toContain("nothing to compare yet");
    expect(movedWords([null, of(1, "not_clear")])).toContain("No number has clearly changed");
    expect(movedWords([null, of(9, "nearer"), of(1, "within")])).toBe("One number has really changed since the clip before.");
    expect(movedWords([of(9, "farther"), of(9, "changed")])).toContain("2 numbers have really changed");
  });
});
