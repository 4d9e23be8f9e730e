import { expect, test } from "vitest";
import type { Drill, FindingCode } from "../../api/types";
import { firstDose, suggested } from "./dose";

const drill = (id: string, ...serves: FindingCode[]): Drill =>
  ({ id, name: id, serves, dose: { sets: 3, reps: 6, pause_s: 2, days_per_week: 4, weeks: 2, until: null } }) as unknown as Drill;
const LIBRARY = [drill("a", "sway"), drill("b", "under_set", "sway"), drill("c", "arm_lift")];

test("drills that serve most findings come first, and others not at all", () => {
  const found = suggested(LIBRARY, ["sway", "under_set"], (code) => code.toUpperCase());
  expect(found.map((one) => [one.drill.id, one.names])).toEqual([
    ["b", ["SWAY", "UNDER_SET"]],
    ["a", ["SWAY"]],
  ]);
  expect(suggested(LIBRARY, [], String)).toEqual([]);
});

test("a first dose is the library's, and its weeks end on a day", () => {
  const dose = firstDose(LIBRARY[0]!, new Date("2026-11-29T10:00:00Z"));
  expect(dose).toMatchObject({ sets: 3, reps: 6, pause_s: 2, until: "2026-12-13", start: null, ball: null, proof: true });
});
