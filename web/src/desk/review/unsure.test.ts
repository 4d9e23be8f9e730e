import { expect, test } from "vitest";
import type { PlacedPoint, Reading, Xy } from "../../api/types";
import shared from "../../../../tests/vectors/desk.json";
import { doubtPx, isUnsure } from "../../geometry/unsure";
import { doubtsOf } from "./unsure";

const PICTURE = { width: 720, height: 1280 };
const POINTS: Record<string, Xy> = { lead_wrist: [300, 300], butt: [300, 320], clubhead: [300, 20] };
const reading = (inputs: Record<string, number>): Reading => ({ points: POINTS, inputs }) as unknown as Reading;
const placed = (point: string): PlacedPoint[] => [{ point } as PlacedPoint];

test.each(shared.unsure)("the server calls it the same: $id", ({ sigma_px, width, height, unsure, doubt_px }) => {
  expect(isUnsure(sigma_px, width, height)).toBe(unsure);
  expect(Math.abs(doubtPx(sigma_px) - doubt_px)).toBeLessThanOrEqual(1e-6);
});

test("a point beyond a hundredth of the picture is told with the radius that holds it 95 times in 100", () => {
  const row = { reading: reading({ sigma_px_lead_wrist: 12.8, sigma_px_clubhead: 20 }), placed: [], moving: {} };
  const doubts = doubtsOf(row, POINTS, PICTURE);
  expect(Object.keys(doubts)).toEqual(["clubhead"]);
  expect(doubts["clubhead"]).toBeCloseTo(20 * 2.4477, 2);
});

test("a point that the coach placed or moves is sure, however small the picture", () => {
  const inputs = { sigma_px_lead_wrist: 4, sigma_px_clubhead: 20 };
  const small = { width: 200, height: 300 };
  expect(doubtsOf({ reading: reading(inputs), placed: placed("lead_wrist"), moving: { clubhead: [1, 2] } }, POINTS, small)).toEqual({});
  expect(Object.keys(doubtsOf({ reading: reading(inputs), placed: placed("clubhead"), moving: { clubhead: null } }, POINTS, small))).toEqual(["lead_wrist", "clubhead"]);
});
