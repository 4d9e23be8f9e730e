import { expect, test } from "vitest";
import { asOf, clock, dayAndTime, distance } from "./times";

const NOW = new Date("2026-11-29T12:00:00Z");

test("a day and a time in the zone, with the year when it is another one", () => {
  expect(dayAndTime("2026-11-27T15:00:00Z", "Europe/Zagreb", NOW)).toBe("Fri 27 Nov, 16:00");
  expect(dayAndTime("2026-11-27T15:00:00Z", "Europe/Dublin", NOW)).toBe("Fri 27 Nov, 15:00");
  expect(dayAndTime("2026-12-31T23:30:00Z", "Europe/Zagreb", NOW)).toBe("Fri 1 Jan 2027, 00:30");
  expect(clock("2026-11-27T23:05:00Z", "Europe/Zagreb")).toBe("00:05");
});

test("late by seconds is late", () => {
  expect(distance("2026-11-29T11:59:50Z", NOW)).toBe("0 min late");
  expect(distance("2026-11-29T12:00:10Z", NOW)).toBe("0 min left");
  expect(distance("2026-11-29T15:20:00Z", NOW)).toBe("3 h 20 min left");
});

test("what was kept says when it was told, with its day when that is not today", () => {
  const told = new Date(2026, 10, 30, 15, 2);
  expect(asOf(told.toISOString(), new Date(2026, 10, 30, 18, 0), "en-GB")).toBe("at 15:02");
  expect(asOf(told.toISOString(), new Date(2026, 11, 1, 8, 0), "en-GB")).toBe("on Mon 30 Nov, 15:02");
});
