import { describe, expect, it } from "vitest";
import { amount, amountBriefly, amountWithDoubt, BAND_WORDS, bound, measureOf, range, target, type Measure } from "./golf";

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

describe("a number in words", () => {
  it.each<[number, Measure, string]>([
    [87.44, "deg", "87.4°"],
    [-3.26, "deg", "\u22123.3°"],
    [0.42, "grip", "+0.42 grip lengths"],
    [-0.004, "grip", "0.00 grip lengths"],
    [-0.08, "s", "\u22120.08 seconds"],
    [0.18, "s", "0.18 seconds"],
    [0.553, "ratio", "0.55"],
    [3.14, "to_one", "3.1 to 1"],
    [-0.12, "stance", "\u22120.12 stance widths"],
    [0.2, "head", "+0.20 head heights"],
    [0.45, "shoulder", "+0.45 shoulder widths"],
    [0.0423, "stature", "+4.2% of your height"],
  ])("%d %s is %s", (value, measure, words) => {
    expect(amount(value, measure)).toBe(words);
  });

  it("tells its doubt in the same unit", () => {
    expect(amountWithDoubt(87.4, 83.3, 91.5, "deg")).toBe("87.4°, give or take 4.1");
    expect(amountWithDoubt(0.04, 0.02, 0.06, "stature")).toBe("+4.0% of your height, give or take 2.0");
    expect(amountWithDoubt(3.1, 2.7, 3.5, "to_one")).toBe("3.1 to 1, give or take 0.4");
    expect(amountBriefly(0.45, 0.4, 0.5, "shoulder")).toBe("+0.45 shoulder widths ± 0.05");
  });

  it("says a span and a target so that a ratio is not taken for one", () => {
    expect(range(83.3, 91.5, "deg")).toBe("83.3° to 91.5°");
    expect(range(-0.1, 0.3, "grip")).toBe("\u22120.10 to +0.30");
    expect(range(2.8, 3.4, "to_one")).toBe("between 2.8 and 3.4 to 1");
    expect(target(2.4, 3.6, "to_one")).toBe("between 2.4 and 3.6 to 1");
    expect(target(-0.12, 0.01, "stature")).toBe("\u221212 to 1% of your height");
    expect(bound(0.04, "stature")).toBe("4%");
  });

  it("is a ratio, but for the tempo", () => {
    expect(measureOf({ id: "tempo_ratio", unit: "ratio" })).toBe("to_one");
    expect(measureOf({ id: "ball_position", unit: "ratio" })).toBe("ratio");
  });

  it("says in words that nothing is asked of it", () => {
    expect(BAND_WORDS.no_target).toBe("No target");
  });
});
