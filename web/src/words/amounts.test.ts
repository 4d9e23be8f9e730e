/** Numbers and doses in words; the printed sheet is held to the same file from Python. */

import { describe, expect, it } from "vitest";
import vectors from "../../../tests/vectors/amounts.json";
import { doseWords } from "../answer/dose";
import type { DrillDose } from "../api/types";
import { amount, amountWithDoubt, bound, range, target, type Measure } from "./golf";

type One = [number, Measure, string];
type Two = [number, number, Measure, string];
type Three = [number, number, number, Measure, string];

describe("a number on the page and on paper", () => {
  it.each(vectors.amount as One[])("%d %s is %s", (value, measure, words) => {
    expect(amount(value, measure)).toBe(words);
  });

  it.each(vectors.bound as One[])("%d %s is the end of a target: %s", (value, measure, words) => {
    expect(bound(value, measure)).toBe(words);
  });

  it.each(vectors.target as Two[])("%d to %d %s is a target: %s", (low, high, measure, words) => {
    expect(target(low, high, measure)).toBe(words);
  });

  it.each(vectors.range as Two[])("%d to %d %s is a span: %s", (low, high, measure, words) => {
    expect(range(low, high, measure)).toBe(words);
  });

  it.each(vectors.with_doubt as Three[])("%d (%d to %d) %s is %s", (value, low, high, measure, words) => {
    expect(amountWithDoubt(value, low, high, measure)).toBe(words);
  });

  it.each(vectors.dose as [DrillDose, string][])("a dose says %j", (dose, words) => {
    expect(doseWords(dose)).toBe(words);
  });
});
