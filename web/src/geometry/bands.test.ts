/** Where an interval sits against its limits, shared with tests/api/domain. */

import { expect, it } from "vitest";
import shared from "../../../tests/vectors/bands.json";
import { bandOf, region, type Bands } from "./bands";

const BANDS: Bands = {
  watchLow: shared.bands.watch_low,
  goodLow: shared.bands.good_low,
  goodHigh: shared.bands.good_high,
  watchHigh: shared.bands.watch_high,
};

it.each(shared.cases)("$low to $high is $expected", ({ low, high, expected }) => {
  expect(bandOf(low, high, BANDS)).toBe(expected);
});

it("gives a limit to the better band", () => {
  expect([70, 80, 100, 112].map((limit) => region(limit, BANDS))).toEqual([1, 2, 2, 3]);
});
