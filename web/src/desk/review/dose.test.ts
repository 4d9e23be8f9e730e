import { afterEach, expect, test, vi } from "vitest";
import type { Drill, FindingCode } from "../../api/types";
import openapi from "../../../openapi.json";
import { DOSE_LIMITS, doseFault, doseFaults, finished, firstDose, suggested } from "./dose";

const drill = (id: string, ...serves: FindingCode[]): Drill =>
  ({ id, name: id, serves, dose: { sets: 3, reps: 6, pause_s: 2, days_per_week: 4, weeks: 2, until: null } }) as unknown as Drill;
const LIBRARY = [drill("a", "sway"), drill("b", "under_set", "sway"), drill("c", "arm_lift")];

afterEach(() => vi.unstubAllEnvs());

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

test("its weeks begin on the day where the coach is, not on that of UTC", () => {
  const late = new Date("2026-11-29T23:30:00Z");
  vi.stubEnv("TZ", "Europe/Zagreb");
  expect(firstDose(LIBRARY[0]!, late).until).toBe("2026-12-14");
  vi.stubEnv("TZ", "America/Los_Angeles");
  expect(firstDose(LIBRARY[0]!, late).until).toBe("2026-12-13");
});

test("the limits of a dose are the server's", () => {
  const sent = openapi.components.schemas.DrillChosen.properties;
  const pause = sent.pause_s.anyOf[0]!;
  const { sets, reps, days_per_week } = sent;
  for (const [name, at] of [["sets", sets], ["reps", reps], ["days_per_week", days_per_week], ["pause_s", pause]] as const) {
    const { low, high, whole } = DOSE_LIMITS[name];
    expect([low, high, whole]).toEqual([at.minimum, at.maximum, at.type === "integer"]);
  }
});

test("an unfinished field is told in words, and what was good last is what is saved", () => {
  const good = { drill_id: "stop", sets: 3, reps: 5, pause_s: 2, days_per_week: 4, until: null, note: "", start: null, ball: null, proof: true };
  for (const bad of [null, "", 0, 21, 2.5]) expect(doseFault("sets", bad)).toBe("Sets: a whole number from 1 to 20.");
  expect(doseFault("pause_s", 61)).toBe("Pause: from 0 to 60 s, or empty.");
  expect([doseFault("pause_s", null), doseFault("pause_s", 0.5)]).toEqual(["", ""]);
  const half = { ...good, sets: null, reps: 300, note: "Slow" } as never;
  expect(doseFaults(half).map((one) => one.field)).toEqual(["sets", "reps"]);
  expect(finished(half, good)).toEqual({ ...good, note: "Slow" });
  expect(finished(half, undefined)).toBeNull();
  expect(finished({ ...good, pause_s: "", until: "" } as never, good)).toEqual({ ...good, pause_s: null });
});

test("days that end before they begin hold up nothing else: they stay saved as they were", () => {
  const good = { drill_id: "stop", sets: 3, reps: 5, pause_s: 2, days_per_week: 4, until: "2026-12-13", note: "", start: null, ball: null, proof: true };
  const half = { ...good, start: "2027-01-04", note: "Slow" };
  expect(doseFaults(half)).toEqual([{ field: "until", words: "Ends before it begins." }]);
  expect(finished(half, good)).toEqual({ ...good, note: "Slow" });
  expect(finished({ ...half, until: "2027-01-04" }, good)).toEqual({ ...half, until: "2027-01-04" });
});
