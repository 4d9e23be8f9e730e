import { expect, test } from "vitest";
import { isoDay, mustComeFirst, STEP_NAMES, zones } from "./words";
import type { Step } from "../api/joining";

test("a day is read as it is written, and none that does not exist", () => {
  expect(isoDay("2014", "5", "4")).toBe("2014-05-04");
  expect(isoDay("2016", "2", "29")).toBe("2016-02-29");
  expect(isoDay("2015", "2", "29")).toBeNull();
  expect(isoDay("2014", "13", "1")).toBeNull();
  expect(isoDay("", "1", "1")).toBeNull();
  expect(isoDay("14", "5", "4")).toBeNull();
});

test("only age, guardian and consent keep a clip from being sent", () => {
  expect((Object.keys(STEP_NAMES) as Step[]).filter(mustComeFirst)).toEqual(["age", "guardian", "consent"]);
});

test("the browser's own zone comes first and once", () => {
  const found = zones("Europe/Vienna");
  expect(found[0]).toBe("Europe/Vienna");
  expect(found.filter((zone) => zone === "Europe/Vienna")).toHaveLength(1);
});
