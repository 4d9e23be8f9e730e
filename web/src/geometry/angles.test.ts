/** Signs, wraps and edges, shared with tests/api/domain. */

import { describe, expect, it } from "vitest";
import shared from "../../../tests/vectors/geometry.json";
import { angleAt, angleBetween, buttGroundHit, direction, elevation, wrap360 } from "./angles";
import { mirrorX, normalisePoint } from "./mirror";
import { angleAtSigma, interval95 } from "./uncertainty";
import { imagePoint, type ImagePoint } from "./units";

const at = ([x = NaN, y = NaN]: readonly number[]): ImagePoint => imagePoint(x, y);

describe("directions", () => {
  it.each(shared.direction)("$start to $end points at $expected", ({ start, end, expected }) => {
    expect(direction(at(start), at(end))).toBeCloseTo(expected, 9);
  });

  it.each(shared.elevation)("$start to $end is $expected up", ({ start, end, expected }) => {
    expect(elevation(at(start), at(end))).toBeCloseTo(expected, 9);
  });

  it.each(shared.angle_between)("$first and $second differ by $expected", (one) => {
    expect(angleBetween(one.first, one.second)).toBeCloseTo(one.expected, 9);
  });

  it.each(shared.angle_at)("at $vertex the angle is $expected", (one) => {
    expect(angleAt(at(one.vertex), at(one.first), at(one.second))).toBeCloseTo(one.expected, 9);
  });

  it("wraps a tiny negative angle to 0, not to 360", () => {
    expect(wrap360(-1e-17)).toBe(0);
    expect(wrap360(-30)).toBe(330);
    expect(wrap360(720)).toBe(0);
  });
});

describe("the butt end", () => {
  it.each(shared.ground_hit)("from $butt and $clubhead to row $ground_row", (one) => {
    const hit = buttGroundHit(at(one.butt), at(one.clubhead), one.ground_row);
    expect(hit === null ? null : [hit.x, hit.row, hit.perRow]).toEqual(one.expected);
  });
});

describe("the mirror", () => {
  it.each(shared.mirror_x)("takes $x to $expected", ({ x, width_px, expected }) => {
    expect(mirrorX(x, width_px)).toBe(expected);
    expect(mirrorX(mirrorX(x, width_px), width_px)).toBe(x);
  });

  it("leaves a right-hander alone", () => {
    expect(normalisePoint(imagePoint(3, 4), "right", 720)).toEqual([3, 4]);
    expect(normalisePoint(imagePoint(3, 4), "left", 720)).toEqual([716, 4]);
  });
});

describe("uncertainty", () => {
  it.each(shared.interval95)("of $value with sigma $sigma", (one) => {
    const [low, high] = interval95(one.value, one.sigma, one.lowest, one.highest);
    expect(low).toBeCloseTo(one.expected[0] ?? NaN, 7);
    expect(high).toBeCloseTo(one.expected[1] ?? NaN, 7);
  });

  it.each(shared.angle_at_sigma)("counts the shared vertex once: $expected", (one) => {
    const sigmas = { vertexPx: one.sigma_px, firstPx: one.sigma_px, secondPx: one.sigma_px };
    const answer = angleAtSigma(at(one.vertex), at(one.first), at(one.second), sigmas);
    expect(Math.abs(answer - one.expected)).toBeLessThanOrEqual(one.tolerance);
  });
});
