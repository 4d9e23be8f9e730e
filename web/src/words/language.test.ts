import { expect, test } from "vitest";
import { amount, amountBriefly, amountWithDoubt, bound, range, size, target } from "./golf";
import { rightToLeft } from "./bidi";
import { languageName, together, withNumbers, written } from "./language.svelte";
import { clock, day, dayAndTime, shortDay } from "./times";

const NOW = new Date("2026-11-29T12:00:00Z");
const ARABIC = "ar-EG";

test("a number is written as its reader writes it", () => {
  expect(amount(87.42, "deg", "de")).toBe("87,4°");
  expect(amount(-0.424, "grip", "de")).toBe("−0,42 grip lengths");
  expect(amount(0.424, "grip", "fr")).toBe("+0,42 grip lengths");
  expect(amount(-0.004, "grip", "de")).toBe("0,00 grip lengths");
  expect(amount(0.041, "stature", "de")).toBe("+4,1\u00a0% of your height");
  expect(size(-0.12, "grip", "de")).toBe("0,12 grip lengths");
  expect(amountWithDoubt(87.4, 83.3, 91.5, "deg", "de")).toBe("87,4°, give or take 4,1");
  expect(target(0.5, 1, "grip", "de")).toBe("0,5 to 1 grip lengths");
  expect(target(2.4, 3.6, "to_one", "de")).toBe("between 2,4 and 3,6 to 1");
  expect(bound(-3, "deg", "de")).toBe("−3°");
  expect(range(2.8, 3.4, "to_one", "de")).toBe("between 2,8 and 3,4 to 1");
  expect(written(12345.6, { digits: 1 }, "de")).toBe("12345,6");
});

test("without a language it is the signed-in person's, and British English before anybody is", () => {
  expect(amount(87.42, "deg")).toBe("87.4°");
  expect(dayAndTime("2026-11-27T15:00:00Z", "Europe/Zagreb", NOW)).toBe("Fri 27 Nov, 16:00");
});

test("Arabic digits stay together in an English sentence", () => {
  const told = amountBriefly(87.4, 83.3, 91.5, "deg", ARABIC);
  expect(told).toBe("\u2068٨٧٫٤°\u2069 ± \u2068٤٫١\u2069");
  expect(together("x", "de")).toBe("x");
  expect([ARABIC, "he", "fa", "ckb", "de", "az-Cyrl"].map(rightToLeft)).toEqual([true, true, true, true, false, false]);
  expect(amount(87.4, "deg", "ar-EG-u-nu-latn")).toBe("\u206887.4°\u2069");
});

test("dates and times, in the zone", () => {
  const at = "2026-11-27T15:00:00Z";
  expect(dayAndTime(at, "Europe/Zagreb", NOW, "de")).toBe("Fr., 27. Nov., 16:00");
  expect(dayAndTime("2025-11-27T15:00:00Z", "Europe/Zagreb", NOW, "de")).toBe("Do., 27. Nov. 2025, 16:00");
  expect(dayAndTime(at, "America/New_York", NOW, "en-US")).toMatch(/^Fri Nov 27, 10:00\sAM$/);
  expect(dayAndTime(at, "Africa/Cairo", NOW, ARABIC)).toMatch(/^\u2068.*٢٧.*\u2069$/u);
  expect(clock(at, "America/New_York", "en-US")).toMatch(/^10:00\sAM$/);
  expect(clock("2026-11-27T08:05:00Z", "Europe/Zagreb")).toBe("09:05");
  expect(clock("2026-11-27T08:05:00Z", "Europe/Zagreb", "de")).toBe("09:05");
  expect(clock("2026-11-27T08:05:00Z", "Europe/Zagreb", "en-US")).toMatch(/^9:05\sAM$/);
  expect(day(at, "Europe/Zagreb", "de")).toBe("27. November 2026");
  expect(shortDay(at, "Europe/Zagreb", "fr")).toBe("27 nov.");
});

test("numbers in the server's own sentences follow", () => {
  expect(withNumbers("The stop came 0.4 seconds before the top.", "de")).toBe("The stop came 0,4 seconds before the top.");
  expect(withNumbers("It stood about 12 degrees above level.", "en-GB")).toBe("It stood about 12 degrees above level.");
});

test("a language is named in words", () => {
  expect(languageName("de-AT")).toBe("German (Austria)");
  expect(languageName("ar-EG-u-nu-latn")).toBe("Arabic (Egypt), Latin digits");
});
