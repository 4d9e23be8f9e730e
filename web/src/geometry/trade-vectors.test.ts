/** The exact vectors of the trade's formulas that the page uses; Python runs the same file. */

import { describe, expect, it } from "vitest";
import trade from "../../../tests/vectors/trade.json";
import { buttEndInside, buttGroundHit, leadArmShaftAngle } from "./angles";
import { normalisePoints } from "./mirror";
import { combine, directionSigma } from "./uncertainty";
import { imagePoint, toRadians, type Hand, type ImagePoint, type Points } from "./units";

type Pair = readonly number[];
type Given = Readonly<Record<string, number | string | Pair>>;

const point = (given: Given, name: string): ImagePoint => {
  const [x = NaN, y = NaN] = given[name] as Pair;
  return imagePoint(x, y);
};
const number = (given: Given, name: string): number => given[name] as number;

function clubheadAt(given: Given): ImagePoint {
  const [x, y] = point(given, "butt");
  const pitch = toRadians(number(given, "pitch_deg"));
  return imagePoint(x - 280 * Math.cos(pitch), y - 280 * Math.sin(pitch));
}

function angle(points: Points): number {
  const { lead_shoulder, lead_wrist, butt, clubhead } = points as Required<Points>;
  return leadArmShaftAngle(lead_shoulder, lead_wrist, butt, clubhead);
}

function anglePoints(given: Given): Points {
  return {
    lead_shoulder: point(given, "lead_shoulder"),
    lead_wrist: point(given, "lead_wrist"),
    butt: point(given, "butt"),
    clubhead: point(given, "clubhead"),
  };
}

function mirroredAngle(given: Given): number {
  const [hand, width] = [given["handed"] as Hand, number(given, "width_px")];
  const normal = normalisePoints(anglePoints(given), hand, width);
  expect(normalisePoints(normal, hand, width)).toEqual(anglePoints(given));
  return angle(normal);
}

function armShaftSigma(given: Given): number {
  const [sigma, origin] = [number(given, "sigma_px"), imagePoint(0, 0)];
  const arm = directionSigma(origin, imagePoint(number(given, "arm_px"), 0), sigma, sigma);
  const shaft = directionSigma(origin, imagePoint(0, -number(given, "shaft_px")), sigma, sigma);
  return combine(arm, shaft);
}

const FUNCTIONS: Readonly<Record<string, (given: Given) => number | null>> = {
  lead_arm_shaft_angle: (given) => angle(anglePoints(given)),
  mirrored_angle: mirroredAngle,
  butt_end_inside: (given) =>
    buttEndInside(
      point(given, "butt"),
      clubheadAt(given),
      point(given, "ball"),
      number(given, "px_per_m") * number(given, "grip_m"),
    ),
  arm_shaft_sigma: armShaftSigma,
};

const cases = trade.cases
  .filter((one) => one.function in FUNCTIONS)
  .map((one) => ({ ...one, input: one.input as unknown as Given }));

describe("the trade's vectors", () => {
  it("runs all that the page has a function for", () => {
    const ids = new Set(cases.map((one) => one.id.split("-")[0]));
    expect(ids).toEqual(new Set(["T1", "T2", "T3", "T4", "T5", "T6", "T7", "T8", "T11"]));
  });

  it.each(cases)("$id $function", (one) => {
    const answer = FUNCTIONS[one.function]?.(one.input);
    if (one.expected === null) {
      expect(answer).toBeNull();
    } else {
      expect(Math.abs(Number(answer) - one.expected)).toBeLessThanOrEqual(one.tolerance);
      expect(Math.abs(Number(answer) - (one.exact ?? NaN))).toBeLessThanOrEqual(1e-6);
    }
  });

  it.each(cases.filter((one) => one.expected_hit_x !== undefined))("$id ground hit", (one) => {
    const hit = buttGroundHit(
      point(one.input, "butt"),
      clubheadAt(one.input),
      point(one.input, "ball")[1],
    );
    if (one.expected_hit_x === null) {
      expect(hit).toBeNull();
    } else {
      expect(hit?.x).toBeCloseTo(one.expected_hit_x ?? NaN, 3);
      expect(Math.abs((hit?.x ?? NaN) - (one.exact_hit_x ?? NaN))).toBeLessThanOrEqual(1e-6);
    }
  });
});
