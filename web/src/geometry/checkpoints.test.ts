/** The page's evaluation against the vectors that the server's is held to. */

import { describe, expect, it } from "vitest";
import shared from "../../../tests/vectors/checkpoints.json";
import vectors from "../../../tests/vectors/evaluate.json";
import { MIN_SEGMENT_PX } from "./angles";
import { CHECKPOINTS, evaluate, isMissing, type CheckpointId } from "./checkpoints";
import { COACH_MARKING_SIGMA_DEG, COACH_POINT_SIGMA_PX, inputsWithoutMachine, placePoints } from "./coach-points";
import type { Hand, Inputs, Points } from "./units";

// JSON pairs are plain numbers; a vector's numbers are picture pixels by what they are.
const asPoints = (points: object): Points => points as Points;
const asInputs = (inputs: object): Inputs => inputs as Inputs;

interface Case {
  readonly id: string;
  readonly checkpoint: string;
  readonly handed: string;
  readonly width_px: number;
  readonly points: object;
  readonly inputs: object;
  readonly expected: {
    readonly value?: number;
    readonly sigma?: number;
    readonly low?: number;
    readonly high?: number;
    readonly band?: string;
    readonly missing?: string;
  };
}

const answerTo = (one: Case) =>
  evaluate(
    one.checkpoint as CheckpointId,
    asPoints(one.points),
    asInputs(one.inputs),
    one.handed as Hand,
    one.width_px,
  );

describe("evaluate", () => {
  it.each(vectors.cases as Case[])("$id", (one) => {
    const answer = answerTo(one);
    if (one.expected.missing !== undefined) {
      expect(answer).toEqual({ missing: one.expected.missing });
      return;
    }
    if (isMissing(answer)) throw new Error(answer.missing);
    expect(answer.band).toBe(one.expected.band);
    for (const name of ["value", "sigma", "low", "high"] as const) {
      // The reference differentiates numerically: seven digits are what it has.
      const wanted = one.expected[name] ?? NaN;
      expect(Math.abs(answer[name] - wanted)).toBeLessThanOrEqual(1e-6 * Math.max(1, Math.abs(wanted)));
    }
  });

  it("is held to a case of every number, from both sides", () => {
    for (const id of Object.keys(CHECKPOINTS)) {
      const hands = (vectors.cases as Case[]).filter((one) => one.checkpoint === id).map((one) => one.handed);
      expect(new Set(hands)).toEqual(new Set(["right", "left"]));
    }
  });

  it("refuses a negative sigma", () => {
    const one = vectors.cases[0] as Case;
    const broken: Case = { ...one, inputs: { ...one.inputs, sigma_view: -1 } };
    expect(() => answerTo(broken)).toThrow(/sigma_view/);
  });

  it("takes a point that is no number for unseen", () => {
    const one = vectors.cases[0] as Case;
    const broken: Case = { ...one, points: { ...one.points, clubhead: [NaN, 3] } };
    expect(answerTo(broken)).toEqual({ missing: "Not found in the picture: clubhead." });
  });

  it("judges by a coach's own bands", () => {
    const one = vectors.cases.find((item) => item.id === "angle 90 right") as Case;
    const own = { watchLow: 50, goodLow: 60, goodHigh: 75, watchHigh: 80 };
    const answer = evaluate(
      "lead_arm_shaft_angle",
      asPoints(one.points),
      asInputs(one.inputs),
      "right",
      one.width_px,
      own,
    );
    expect(isMissing(answer) ? answer : answer.band).toBe("outside");
  });
});

describe("definitions", () => {
  it.each(Object.keys(shared.checkpoints) as CheckpointId[])("%s is the server's", (id) => {
    const [ours, theirs] = [CHECKPOINTS[id], shared.checkpoints[id]];
    expect(ours).toEqual({
      views: theirs.views,
      main: theirs.main,
      keyframe: theirs.keyframe,
      unit: theirs.unit,
      points: theirs.points,
      inputs: theirs.inputs,
      bands: theirs.bands && {
        watchLow: theirs.bands.watch_low,
        goodLow: theirs.bands.good_low,
        goodHigh: theirs.bands.good_high,
        watchHigh: theirs.bands.watch_high,
      },
      withholdSigma: theirs.withhold_sigma,
      least: theirs.least ?? -Infinity,
      most: theirs.most ?? Infinity,
    });
  });

  it("shares its constants", () => {
    expect(COACH_POINT_SIGMA_PX).toBe(shared.coach_point_sigma_px);
    expect(COACH_MARKING_SIGMA_DEG).toBe(shared.coach_marking_sigma_deg);
    expect(MIN_SEGMENT_PX).toBe(shared.min_segment_px);
    expect(Object.keys(CHECKPOINTS)).toEqual(Object.keys(shared.checkpoints));
  });
});

describe("a coach's points", () => {
  it.each(shared.placing)("$id", (one) => {
    const answer = placePoints(
      one.checkpoint as CheckpointId,
      asPoints(one.points),
      asInputs(one.inputs),
      asPoints(one.placed),
    );
    expect(answer.points).toEqual(one.expected_points);
    expect(answer.inputs).toEqual(one.expected_inputs);
  });
});

it.each(Object.entries(shared.inputs_without_machine))("%s: inputs where the machine read nothing", (id, inputs) => {
  expect(inputsWithoutMachine(id as CheckpointId)).toEqual(inputs);
});
