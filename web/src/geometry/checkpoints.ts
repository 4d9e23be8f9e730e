/**
 * What the checkpoints are and their one evaluation. Twin of api/domain/checkpoints.py: the same
 * inputs, numbers and words. The server's answer rules; this one follows a finger.
 */

import { bandOf, type Band, type Bands } from "./bands";
import {
  ANGLE_POINTS,
  BUTT_POINTS,
  EARS,
  FORMULAS,
  HANDS,
  HIPS,
  NO_SCALE,
  pointWords,
  SHOULDERS,
} from "./formulas";
import { normalisePoints } from "./mirror";
import { COMMON_SIGMAS, NO_UNIT, sigmaInput, type Missing, type Terms } from "./picture-formulas";
import { combine, interval95 } from "./uncertainty";
import type { Hand, Inputs, PointName, Points } from "./units";

export type CheckpointId = keyof typeof FORMULAS;
export type Unit = "deg" | "grip" | "s" | "ratio" | "stance" | "head" | "shoulder" | "stature";
export type View = "face-on" | "down-the-line";
export type Keyframe =
  | "address"
  | "takeaway"
  | "hands_past_trail_leg"
  | "lead_arm_parallel"
  | "top"
  | "lead_arm_parallel_down"
  | "delivery"
  | "impact"
  | "finish";

export interface Checkpoint {
  readonly views: readonly View[];
  readonly main: boolean;
  readonly keyframe: Keyframe;
  readonly unit: Unit;
  readonly points: readonly PointName[];
  readonly inputs: readonly string[];
  /** `null` where nothing is asked of the number. */
  readonly bands: Bands | null;
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

const FACE_ON = ["face-on"] as const;
const BEHIND = ["down-the-line"] as const;
const BOTH = [...FACE_ON, ...BEHIND] as const;

const TRUNK = [...HIPS, ...SHOULDERS] as const;
const ELBOW = ["lead_shoulder", "lead_elbow", "lead_wrist"] as const;
const KNEE = ["trail_hip", "trail_knee", "trail_ankle"] as const;
const SHAFT = ["butt", "clubhead"] as const;

const SCALED = ["px_per_unit", "sigma_scale"] as const;
const SINCE = ["from_x_px", "sigma_from_px", ...SCALED] as const;
const CHANGED = ["reference_deg", "sigma_reference"] as const;
const SPAN = ["from_s", "to_s", "sigma_from_s", "sigma_to_s"] as const;
const SPACE = ["value_deg", "sigma_depth"] as const;
const WIDTHS = ["address_width_px", "sigma_width_px"] as const;

type Limits = readonly [watchLow: number, goodLow: number, goodHigh: number, watchHigh: number];

interface Said {
  readonly views: readonly View[];
  readonly at: Keyframe;
  readonly unit: Unit;
  readonly points?: readonly PointName[];
  /** Inputs besides the sigmas of the points and those that every number has. */
  readonly more?: readonly string[];
  readonly bands: Limits | null;
  readonly withhold: number;
  readonly within?: readonly [least: number, most: number];
  readonly main?: true;
}

function define(said: Said): Checkpoint {
  const { views, at, unit, points = [], more = [], bands, withhold } = said;
  const [least, most] = said.within ?? [-Infinity, Infinity];
  return {
    views,
    main: said.main ?? false,
    keyframe: at,
    unit,
    points,
    inputs: [...points.map(sigmaInput), ...COMMON_SIGMAS, ...more],
    bands: bands && { watchLow: bands[0], goodLow: bands[1], goodHigh: bands[2], watchHigh: bands[3] },
    withholdSigma: withhold,
    least,
    most,
  };
}

const ANGLE_RANGE = [0, 180] as const;

const turned = (points: readonly PointName[], at: Keyframe, bands: Limits | null): Checkpoint =>
  define({ views: FACE_ON, at, unit: "deg", points, more: WIDTHS, bands, withhold: 20, within: ANGLE_RANGE });
const elbowBend = (at: Keyframe): Checkpoint =>
  define({ views: FACE_ON, at, unit: "deg", points: ELBOW, bands: [0, 0, 25, 35], withhold: 15, within: ANGLE_RANGE });
const sideTilt = (at: Keyframe, bands: Limits): Checkpoint =>
  define({ views: FACE_ON, at, unit: "deg", points: TRUNK, bands, withhold: 12 });
const shaftPitch = (at: Keyframe, bands: Limits | null): Checkpoint =>
  define({ views: BEHIND, at, unit: "deg", points: SHAFT, bands, withhold: 12, within: [0, 90] });
const handDepth = (at: Keyframe, bands: Limits): Checkpoint =>
  define({ views: BEHIND, at, unit: "shoulder", points: [...HANDS, "trail_toe"], more: SCALED, bands, withhold: 0.4 });
const tiltChange = (at: Keyframe): Checkpoint =>
  define({ views: BEHIND, at, unit: "deg", points: TRUNK, more: CHANGED, bands: [-12, -10, 5, 12], withhold: 12 });
const fromAbove = (at: Keyframe): Checkpoint =>
  define({ views: BOTH, at, unit: "deg", more: SPACE, bands: [-35, -20, 20, 35], withhold: 20 });

/** What each means, and where its bands come from, is said by the server. */
export const CHECKPOINTS: Readonly<Record<CheckpointId, Checkpoint>> = {
  lead_arm_shaft_angle: define({
    views: FACE_ON,
    at: "lead_arm_parallel",
    unit: "deg",
    points: ANGLE_POINTS,
    bands: [70, 80, 100, 112],
    withhold: 20,
    within: ANGLE_RANGE,
    main: true,
  }),
  butt_end_inside: define({
    views: BEHIND,
    at: "lead_arm_parallel",
    unit: "grip",
    points: BUTT_POINTS,
    more: [
      "px_per_grip",
      "ground_row_shift_px",
      "scale_ratio",
      "baseline_slope",
      "sigma_depth",
      "sigma_scale",
    ],
    bands: [-0.5, 0, 1, 1.75],
    withhold: 1,
    main: true,
  }),
  set_before_trail_leg: define({
    views: FACE_ON,
    at: "hands_past_trail_leg",
    unit: "ratio",
    points: ANGLE_POINTS,
    more: ["address_deg", "parallel_deg", "sigma_address", "sigma_parallel"],
    bands: [-0.4, -0.2, 0.5, 0.6],
    withhold: 0.4,
  }),
  lead_arm_shaft_angle_at_top: define({
    views: FACE_ON,
    at: "top",
    unit: "deg",
    points: ANGLE_POINTS,
    bands: [60, 70, 100, 112],
    withhold: 20,
    within: ANGLE_RANGE,
  }),
  wrist_set_kept: define({
    views: FACE_ON,
    at: "lead_arm_parallel_down",
    unit: "deg",
    points: ANGLE_POINTS,
    more: CHANGED,
    bands: [-80, -60, 5, 15],
    withhold: 20,
  }),
  start_order: define({
    views: FACE_ON,
    at: "takeaway",
    unit: "s",
    more: SPAN,
    bands: [-0.03, 0.03, 0.35, 0.5],
    withhold: 0.2,
  }),
  trigger_shift: define({
    views: FACE_ON,
    at: "takeaway",
    unit: "stance",
    points: HIPS,
    more: SINCE,
    bands: [-0.02, 0.01, 0.12, 0.18],
    withhold: 0.1,
  }),
  chest_turn_at_parallel: turned(SHOULDERS, "lead_arm_parallel", null),
  chest_turn: turned(SHOULDERS, "top", [40, 55, 110, 125]),
  pelvis_turn_at_parallel: turned(HIPS, "lead_arm_parallel", null),
  pelvis_turn: turned(HIPS, "top", [15, 25, 65, 80]),
  pelvis_sway: define({
    views: FACE_ON,
    at: "top",
    unit: "stance",
    points: HIPS,
    more: SINCE,
    bands: [-0.2, -0.12, 0.08, 0.16],
    withhold: 0.15,
  }),
  head_sway: define({
    views: FACE_ON,
    at: "top",
    unit: "head",
    points: EARS,
    more: SINCE,
    bands: [-0.45, -0.31, 0.1, 0.25],
    withhold: 0.3,
  }),
  lead_elbow_bend: elbowBend("lead_arm_parallel"),
  lead_elbow_bend_at_top: elbowBend("top"),
  spine_side_tilt_at_address: sideTilt("address", [-4, 2, 12, 18]),
  spine_side_tilt: sideTilt("top", [-10, -5, 15, 22]),
  spine_side_tilt_at_impact: sideTilt("impact", [7, 15, 35, 43]),
  ball_position: define({
    views: FACE_ON,
    at: "address",
    unit: "ratio",
    points: ["ball", "trail_ankle", "lead_ankle"],
    bands: null,
    withhold: 0.3,
  }),
  hands_over_trail_shoulder: define({
    views: FACE_ON,
    at: "lead_arm_parallel",
    unit: "shoulder",
    points: [...HANDS, "trail_shoulder"],
    more: SCALED,
    bands: null,
    withhold: 0.4,
  }),
  shaft_pitch_at_address: shaftPitch("address", null),
  shaft_pitch: shaftPitch("lead_arm_parallel", [52, 58.7, 69.4, 76]),
  shaft_pitch_coming_down: shaftPitch("lead_arm_parallel_down", null),
  shaft_pitch_at_delivery: shaftPitch("delivery", null),
  clubhead_inside_early: define({
    views: BEHIND,
    at: "takeaway",
    unit: "grip",
    points: ["clubhead", ...HANDS],
    more: SCALED,
    bands: [-0.9, -0.5, 0.35, 0.7],
    withhold: 0.6,
  }),
  hand_depth: handDepth("lead_arm_parallel", [-0.15, 0, 0.45, 0.7]),
  hand_depth_at_top: handDepth("top", [0.2, 0.37, 0.96, 1.2]),
  hands_in_front: fromAbove("lead_arm_parallel"),
  path_outside: define({
    views: BEHIND,
    at: "lead_arm_parallel_down",
    unit: "stature",
    points: HANDS,
    more: SINCE,
    bands: [-0.2, -0.12, 0.01, 0.04],
    withhold: 0.04,
  }),
  shaft_at_top: fromAbove("top"),
  spine_tilt: define({
    views: BEHIND,
    at: "address",
    unit: "deg",
    points: TRUNK,
    bands: [24, 30, 45, 51],
    withhold: 12,
  }),
  spine_tilt_change_at_parallel: tiltChange("lead_arm_parallel"),
  spine_tilt_change_at_top: tiltChange("top"),
  spine_tilt_change_at_impact: tiltChange("impact"),
  knee_flex: define({
    views: BEHIND,
    at: "address",
    unit: "deg",
    points: KNEE,
    bands: [6, 12, 30, 38],
    withhold: 12,
    within: ANGLE_RANGE,
  }),
  tempo_ratio: define({
    views: BOTH,
    at: "top",
    unit: "ratio",
    more: ["takeaway_s", "top_s", "impact_s", "sigma_takeaway_s", "sigma_top_s", "sigma_impact_s"],
    bands: [2, 2.4, 3.6, 4.2],
    withhold: 1.2,
    within: [0, Infinity],
  }),
  pause_length: define({
    views: BOTH,
    at: "top",
    unit: "s",
    more: SPAN,
    bands: null,
    withhold: 0.3,
    within: [0, Infinity],
  }),
  finish_hold: define({
    views: BOTH,
    at: "finish",
    unit: "s",
    more: SPAN,
    bands: null,
    withhold: 0.5,
    within: [0, Infinity],
  }),
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
  bands?: Bands | null,
): Value | Missing {
  const definition = CHECKPOINTS[checkpoint];
  const lacking = whatIsLacking(definition, points, inputs);
  if (lacking !== null) return lacking;
  const picture = { handed, widthPx };
  const measured = FORMULAS[checkpoint](normalisePoints(points, handed, widthPx), inputs, picture);
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
  if (unknown.includes("px_per_unit") || unknown.includes("address_width_px")) {
    return { missing: NO_UNIT };
  }
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

function judge(
  definition: Checkpoint,
  measured: number,
  terms: Terms,
  bands: Bands | null,
): Value | Missing {
  const sigma = combine(...Object.values(terms));
  const { least, most, unit } = definition;
  if (sigma > definition.withholdSigma) {
    return { missing: "Too uncertain to give a number: it could lie in any band." };
  }
  const value = Math.min(Math.max(measured, least), most);
  const [low, high] = interval95(value, sigma, least, most);
  const band = bands === null ? "no_target" : bandOf(low, high, bands);
  return { value, sigma, low, high, unit, band, terms };
}
