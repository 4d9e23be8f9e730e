/**
 * What the checkpoints are and their one evaluation. Twin of api/domain/checkpoints.py: the same
 * inputs, numbers and words. The server's answer rules; this one follows a finger.
 */

import { bandOf, type Band, type Bands } from "./bands";
import { FORMULAS, NO_SCALE, pointWords, sigmaInput, type Missing, type Terms } from "./formulas";
import { normalisePoints } from "./mirror";
import { combine, interval95 } from "./uncertainty";
import type { Hand, Inputs, PointName, Points } from "./units";

export type CheckpointId = "lead_arm_shaft_angle" | "butt_end_inside";
export type Unit = "deg" | "grip";

export interface Checkpoint {
  readonly view: "face-on" | "down-the-line";
  readonly keyframe: "lead_arm_parallel";
  readonly unit: Unit;
  readonly points: readonly PointName[];
  readonly inputs: readonly string[];
  readonly bands: Bands;
  readonly withholdSigma: number;
  readonly least: number;
  readonly most: number;
}

export interface Value {
  readonly value: number;
  readonly sigma: number;
  readonly low: number;
  readonly high: number;
  readonly unit: Unit;
  readonly band: Band;
  readonly terms: Terms;
}

const ANGLE_POINTS = ["lead_shoulder", "lead_wrist", "butt", "clubhead"] as const;
const BUTT_POINTS = ["butt", "clubhead", "ball"] as const;
const COMMON_SIGMAS = ["sigma_instant", "sigma_view", "sigma_residual"] as const;

export const CHECKPOINTS: Readonly<Record<CheckpointId, Checkpoint>> = {
  lead_arm_shaft_angle: {
    view: "face-on",
    keyframe: "lead_arm_parallel",
    unit: "deg",
    points: ANGLE_POINTS,
    inputs: [...ANGLE_POINTS.map(sigmaInput), ...COMMON_SIGMAS],
    bands: { watchLow: 70, goodLow: 80, goodHigh: 100, watchHigh: 112 },
    withholdSigma: 20,
    least: 0,
    most: 180,
  },
  butt_end_inside: {
    view: "down-the-line",
    keyframe: "lead_arm_parallel",
    unit: "grip",
    points: BUTT_POINTS,
    inputs: [
      ...BUTT_POINTS.map(sigmaInput),
      ...COMMON_SIGMAS,
      "px_per_grip",
      "ground_row_shift_px",
      "scale_ratio",
      "baseline_slope",
      "sigma_depth",
      "sigma_scale",
    ],
    bands: { watchLow: -0.5, goodLow: 0, goodHigh: 1, watchHigh: 1.75 },
    withholdSigma: 1,
    least: -Infinity,
    most: Infinity,
  },
};

export function isMissing(answer: Value | Missing): answer is Missing {
  return "missing" in answer;
}

/**
 * Value, uncertainty and band from points on one picture, or why there is none. Points, and the
 * slope of the ball-target line among `inputs`, are as seen in the original picture; a
 * left-hander's are mirrored here.
 */
export function evaluate(
  checkpoint: CheckpointId,
  points: Points,
  inputs: Inputs,
  handed: Hand,
  widthPx: number,
  bands?: Bands,
): Value | Missing {
  const definition = CHECKPOINTS[checkpoint];
  const lacking = whatIsLacking(definition, points, inputs);
  if (lacking !== null) return lacking;
  const measured = FORMULAS[checkpoint](normalisePoints(points, handed, widthPx), inputs, handed);
  if ("missing" in measured) return measured;
  return judge(definition, measured.value, measured.terms, bands ?? definition.bands);
}

function whatIsLacking(
  definition: Checkpoint,
  points: Points,
  inputs: Inputs,
): Missing | null {
  const unseen = definition.points.filter((name) => !points[name]?.every(Number.isFinite));
  if (unseen.length > 0) {
    return { missing: `Not found in the picture: ${unseen.map(pointWords).join(", ")}.` };
  }
  const unknown = definition.inputs.filter((name) => !Number.isFinite(inputs[name]));
  if (unknown.includes("px_per_grip")) return { missing: NO_SCALE };
  if (unknown.length > 0) {
    const names = unknown.join(", ");
    return { missing: `Part of its uncertainty is not known, so no number: ${names}.` };
  }
  const negative = Object.keys(inputs).filter(
    (name) => name.startsWith("sigma_") && (inputs[name] ?? 0) < 0,
  );
  if (negative.length > 0) {
    throw new RangeError(`a sigma cannot be negative: ${negative.join(", ")}`);
  }
  return null;
}

function judge(definition: Checkpoint, value: number, terms: Terms, bands: Bands): Value | Missing {
  const sigma = combine(...Object.values(terms));
  if (sigma > definition.withholdSigma) {
    return { missing: "Too uncertain to give a number: it could lie in any band." };
  }
  const [low, high] = interval95(value, sigma, definition.least, definition.most);
  return { value, sigma, low, high, unit: definition.unit, band: bandOf(low, high, bands), terms };
}
