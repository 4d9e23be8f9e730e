import { expect, test } from "vitest";
import type { Agreed, Checkpoint } from "../api/types";
import { fromPercent, iccWords, limitsWords, meanWords, sdWords, semWords, toPercent, whyNot } from "./agreement";

const ANGLE = { id: "lead_arm_shaft_angle", unit: "deg" } as Checkpoint;
const FIGURES = {
  pairs: 41,
  left_alone: 12,
  differences: {
    mean: 1.2,
    sd: 2.7,
    limits: { low: -4.1, high: 6.5 },
    mean_interval: { low: 0.1, high: 2.3 },
    lower_interval: { low: -5, high: -3 },
    upper_interval: { low: 5, high: 8 },
  },
  reliability: { icc: 0.913, sem: 1.9 },
  reason: null,
} as unknown as Agreed;
const FEW = { pairs: 4, differences: null, reliability: null, reason: "too_few" } as unknown as Agreed;

test("figures stand with their unit and their doubt", () => {
  expect(meanWords(FIGURES, ANGLE)).toBe("+1.2° (+0.1° to +2.3°)");
  expect(limitsWords(FIGURES, ANGLE)).toBe("−4.1° to 6.5°");
  expect(sdWords(FIGURES, ANGLE)).toBe("2.7°");
  expect(semWords(FIGURES, ANGLE)).toBe("1.9°");
  expect(iccWords(FIGURES)).toBe("0.91");
});

test("where there are none the reason is told", () => {
  expect([meanWords(FEW, ANGLE), limitsWords(FEW, ANGLE), sdWords(FEW, ANGLE), semWords(FEW, ANGLE), iccWords(FEW)]).toEqual(["", "", "", "", ""]);
  expect(whyNot(FEW, 30)).toContain("4 of the 30 pairs");
  expect(whyNot(FIGURES, 30)).toBe("");
});

test("a share is typed in percent", () => {
  expect(toPercent(0.1)).toBe(10);
  expect(fromPercent(12.5)).toBe(0.125);
  expect([fromPercent(null), fromPercent(-1), fromPercent(101)]).toEqual([null, null, null]);
});
