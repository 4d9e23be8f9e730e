/** What the page computes besides the checkpoints, against the vectors that the server's parts are held to. */

import { describe, expect, it } from "vitest";
import vectors from "../../../../tests/vectors/page.json";
import geometry from "../../../../tests/vectors/geometry.json";
import { apart, onsetsOf } from "../../answer/onsets";
import { linesOver } from "../../answer/lines";
import type { Checkpoint, Hand, Reading, Review, TrendPoint, Unit, Xy } from "../../api/types";
import { CHECKPOINTS, halfWidth, type CheckpointId } from "../../geometry";
import { inStep, ties } from "../frames/step";
import { bodyNear, layOver } from "./lay";
import { liveReading } from "./live";
import { filled, type At } from "./phrases";
import { change, difference } from "./trend";

const TO = 1e-6;
const near = (found: number | null | undefined, wanted: number): void => {
  expect(Math.abs((found ?? NaN) - wanted)).toBeLessThanOrEqual(TO * Math.max(1, Math.abs(wanted)));
};

describe("a number while its points are moved", () => {
  it.each(vectors.live)("$id", (one) => {
    const { bands } = CHECKPOINTS[one.checkpoint as CheckpointId];
    const checkpoint = {
      id: one.checkpoint,
      bands: bands && { watch_low: bands.watchLow, good_low: bands.goodLow, good_high: bands.goodHigh, watch_high: bands.watchHigh },
    } as Checkpoint;
    const reading = { points: one.points, inputs: one.inputs } as unknown as Reading;
    const live = liveReading(checkpoint, reading, [], one.placed as unknown as Record<string, Xy>, one.handed as Hand, one.width_px);
    expect(live.band).toBe(one.expected.band);
    for (const name of ["value", "sigma", "low", "high"] as const) near(live[name], one.expected[name]);
    // Half of the points were placed before and the rest is being moved: it is the same number.
    const [first, ...rest] = Object.entries(one.placed as unknown as Record<string, Xy>);
    const placed = [{ point: first?.[0] ?? "", x: first?.[1][0] ?? 0, y: first?.[1][1] ?? 0 }] as unknown as Parameters<typeof liveReading>[2];
    if (rest.length > 0) near(liveReading(checkpoint, reading, placed, Object.fromEntries(rest), one.handed as Hand, one.width_px).value, one.expected.value);
  });
});

describe("the shaft prolonged to the ball's row", () => {
  it.each(geometry.ground_hit)("from $butt and $clubhead", ({ butt, clubhead, ground_row, expected }) => {
    const lines = linesOver({ butt: butt as Xy, clubhead: clubhead as Xy, ball: [0, ground_row - 3] }, 3);
    const hit = lines.find((line) => line.kind === "prolonged")?.to ?? null;
    if (expected === null) {
      expect(hit).toBeNull();
      return;
    }
    near(hit?.[0], expected[0] ?? NaN);
    near(hit?.[1], expected[1] ?? NaN);
  });
});

it.each(vectors.onsets)("an onset $id", ({ inputs, expected }) => {
  const seen = onsetsOf({ checkpoint: "start_order", inputs })?.find((one) => one.name === "chest")?.seen;
  near(seen?.after, expected.after_s);
  near(seen?.doubt, expected.doubt_s);
  expect(apart(seen?.after ?? NaN, seen?.doubt ?? NaN)).toBe(expected.apart);
});

it.each(vectors.trends)("a trend from $id", ({ before, now, expected }) => {
  const points = [before, now].map(([value, low, high]) => ({ value, low, high }) as TrendPoint);
  near(difference(points)?.difference, expected.difference);
  near(difference(points)?.doubt, expected.doubt);
  expect(change(points)).toBe(expected.change);
});

it.each(vectors.ghosts)("a ghost $id", ({ mine, theirs, expected }) => {
  const body = (points: object): NonNullable<ReturnType<typeof bodyNear>> => {
    const found = bodyNear({ 7: points as Parameters<typeof bodyNear>[0][number] }, 7);
    if (found === null) throw new Error("no body");
    return found;
  };
  const laid = layOver(body(mine), body(theirs));
  for (const name of ["left", "top", "scale"] as const) near(laid[name], expected[name]);
});

it.each(vectors.steps)("two clips in step at $id", ({ frame, mine, theirs, tied, expected }) => {
  const instants = (side: 0 | 1) => tied.map((pair, index) => ({ id: String(index), frame: pair[side] ?? null }));
  const step = inStep(ties(instants(0), mine, instants(1), theirs), frame, mine, theirs);
  expect(step?.frame).toBe(expected.frame);
  near(step?.share, expected.share);
});

it.each(vectors.phrases)("a phrase is filled with $id", ({ value, unit, expected }) => {
  const review = {
    submission: { student: { name: "Mira", language: "en-GB" } },
    readings: [{ checkpoint: "x", value, own_bands: null }],
  } as unknown as Review;
  const checkpoint = { id: "x", name: "X", unit: unit as Unit } as unknown as Checkpoint;
  expect(filled("{x}", { review, checkpoints: [checkpoint], drills: [], library: [] } satisfies At)).toBe(expected);
});

it.each(vectors.instants)("the doubt of an instant with $id", ({ sigma_s, expected }) => near(halfWidth(sigma_s), expected.half_s));
