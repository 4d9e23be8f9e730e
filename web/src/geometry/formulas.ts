/**
 * The one formula of each checkpoint, with the terms of its uncertainty. Twin of
 * api/domain/checkpoint_formulas.py. Points are normalised for handedness before they come here.
 */

import {
  armShaftTurn,
  buttEndInside,
  buttGroundHit,
  leadArmShaftAngle,
  lengthPx,
  MIN_SEGMENT_PX,
  type GroundLine,
} from "./angles";
import {
  across,
  added,
  bend,
  between,
  inSpace,
  known,
  LEAST_SET_DEG,
  marked,
  pitch,
  seen,
  sharedTerms,
  sigmaInput,
  span,
  tempo,
  tilt,
  TOO_LITTLE_SET,
  turn,
  type Formula,
  type Measured,
  type Missing,
  type Picture,
} from "./picture-formulas";
import { combine, directionSigma } from "./uncertainty";
import { toRadians, type Inputs, type PointName, type Points } from "./units";

export const NO_GROUND_HIT =
  "The line through the grip end does not reach the ground: the shaft is level or the clubhead " +
  "lies below the grip end, flatter than any number can say.";
export const BUTT_BELOW_GROUND =
  "The grip end lies no higher than the ground at the ball, so it points at no ground.";
export const NO_SCALE =
  "The size of the club in the picture is not known, so nothing scales it.";

export const ANGLE_POINTS = ["lead_shoulder", "lead_wrist", "butt", "clubhead"] as const;
export const BUTT_POINTS = ["butt", "clubhead", "ball"] as const;
export const HIPS = ["lead_hip", "trail_hip"] as const;
export const SHOULDERS = ["lead_shoulder", "trail_shoulder"] as const;
export const HANDS = ["lead_wrist", "trail_wrist"] as const;
export const EARS = ["lead_ear", "trail_ear"] as const;

const POINT_WORDS: Readonly<Record<PointName, string>> = {
  lead_shoulder: "lead shoulder",
  lead_elbow: "lead elbow",
  lead_wrist: "lead wrist",
  trail_shoulder: "trail shoulder",
  trail_wrist: "trail wrist",
  lead_ear: "lead ear",
  trail_ear: "trail ear",
  lead_hip: "lead hip",
  trail_hip: "trail hip",
  trail_knee: "trail knee",
  lead_ankle: "lead ankle",
  trail_ankle: "trail ankle",
  trail_toe: "trail toe",
  butt: "grip end",
  clubhead: "clubhead",
  ball: "ball",
};

/** A point's name as people say it. */
export const pointWords = (point: PointName): string => POINT_WORDS[point];

const elbow = bend("lead_shoulder", "lead_elbow", "lead_wrist");
const chest = turn(...SHOULDERS);
const pelvis = turn(...HIPS);
/** Away from the target is the picture's left. */
const side = tilt(HIPS, SHOULDERS, -1);
const forward = tilt(HIPS, SHOULDERS, 1, "address");
const shaftPitch = pitch("butt", "clubhead");
const depth = across(HANDS, -1, ["trail_toe"]);

export const FORMULAS = {
  lead_arm_shaft_angle: armShaft,
  butt_end_inside: buttEnd,
  set_before_trail_leg: setShare,
  lead_arm_shaft_angle_at_top: armShaft,
  wrist_set_kept: setKept,
  start_order: span,
  trigger_shift: across(HIPS, -1),
  chest_turn_at_parallel: chest,
  chest_turn: chest,
  pelvis_turn_at_parallel: pelvis,
  pelvis_turn: pelvis,
  pelvis_sway: across(HIPS, 1),
  head_sway: across(EARS, 1),
  lead_elbow_bend: elbow,
  lead_elbow_bend_at_top: elbow,
  spine_side_tilt_at_address: side,
  spine_side_tilt: side,
  spine_side_tilt_at_impact: side,
  ball_position: between("ball", "trail_ankle", "lead_ankle"),
  shaft_pitch_at_address: shaftPitch,
  shaft_pitch: shaftPitch,
  shaft_pitch_coming_down: shaftPitch,
  shaft_pitch_at_delivery: shaftPitch,
  clubhead_inside_early: across(["clubhead"], 1, HANDS),
  hands_over_trail_shoulder: across(HANDS, 1, ["trail_shoulder"]),
  hand_depth: depth,
  hand_depth_at_top: depth,
  hands_in_front: inSpace,
  path_outside: across(HANDS, 1),
  shaft_at_top: inSpace,
  spine_tilt: tilt(HIPS, SHOULDERS, 1),
  spine_tilt_change_at_parallel: forward,
  spine_tilt_change_at_top: forward,
  spine_tilt_change_at_impact: forward,
  knee_flex: bend("trail_hip", "trail_knee", "trail_ankle"),
  tempo_ratio: tempo,
  pause_length: span,
  finish_hold: span,
} as const satisfies Readonly<Record<string, Formula>>;

function tooShort(points: Points, start: PointName, end: PointName): Missing | null {
  if (lengthPx(seen(points, start), seen(points, end)) >= MIN_SEGMENT_PX) return null;
  const first = pointWords(start);
  const capital = first.charAt(0).toUpperCase() + first.slice(1);
  return {
    missing:
      `${capital} and ${pointWords(end)} fall on the same spot of the picture, so they give no ` +
      "direction.",
  };
}

function segmentSigma(points: Points, inputs: Inputs, start: PointName, end: PointName): number {
  return directionSigma(
    seen(points, start),
    seen(points, end),
    known(inputs, sigmaInput(start)),
    known(inputs, sigmaInput(end)),
  );
}

/** Angle and its error terms, degrees. Four separate points: no vertex is shared. */
function armShaft(points: Points, inputs: Inputs): Measured | Missing {
  const short = armOrShaftTooShort(points);
  if (short !== null) return short;
  const drawnDeg = leadArmShaftAngle(
    seen(points, "lead_shoulder"),
    seen(points, "lead_wrist"),
    seen(points, "butt"),
    seen(points, "clubhead"),
  );
  const value = Math.min(Math.max(drawnDeg + added(inputs), 0), 180);
  return {
    value,
    terms: { points: marked(armShaftSigma(points, inputs), inputs), ...sharedTerms(inputs) },
  };
}

const armOrShaftTooShort = (points: Points): Missing | null =>
  tooShort(points, "lead_wrist", "lead_shoulder") ?? tooShort(points, "butt", "clubhead");

const armShaftSigma = (points: Points, inputs: Inputs): number =>
  combine(
    segmentSigma(points, inputs, "lead_wrist", "lead_shoulder"),
    segmentSigma(points, inputs, "butt", "clubhead"),
  );

/** Share of the wrist set used when the hands pass the trail leg; 0 none, 1 all of it. */
function setShare(points: Points, inputs: Inputs): Measured | Missing {
  const short = armOrShaftTooShort(points);
  if (short !== null) return short;
  const [address, parallel] = [known(inputs, "address_deg"), known(inputs, "parallel_deg")];
  const whole = address - parallel;
  if (Math.abs(whole) < LEAST_SET_DEG) return { missing: TOO_LITTLE_SET };
  const here = armShaftTurn(
    seen(points, "lead_shoulder"),
    seen(points, "lead_wrist"),
    seen(points, "butt"),
    seen(points, "clubhead"),
  );
  const share = (address - here) / whole;
  const size = Math.abs(whole);
  return {
    value: share + added(inputs),
    terms: {
      points: marked(armShaftSigma(points, inputs), inputs) / size,
      address: (Math.abs(1 - share) * known(inputs, "sigma_address")) / size,
      parallel: (Math.abs(share) * known(inputs, "sigma_parallel")) / size,
      ...sharedTerms(inputs),
    },
  };
}

/** Angle coming down less the angle going back, degrees: 0 kept, above let go. */
function setKept(points: Points, inputs: Inputs): Measured | Missing {
  const found = armShaft(points, inputs);
  if ("missing" in found) return found;
  return {
    value: found.value - known(inputs, "reference_deg"),
    terms: { ...found.terms, reference: known(inputs, "sigma_reference") },
  };
}

/** Distance inside and its error terms, grip lengths. */
function buttEnd(points: Points, inputs: Inputs, { handed }: Picture): Measured | Missing {
  const short = tooShort(points, "butt", "clubhead");
  if (short !== null) return short;
  const pxPerGrip = known(inputs, "px_per_grip");
  const scaleRatio = known(inputs, "scale_ratio");
  if (pxPerGrip <= 0 || scaleRatio <= 0) return { missing: NO_SCALE };
  const mirrored = handed === "left" ? -1 : 1;
  const line: GroundLine = {
    rowShiftPx: known(inputs, "ground_row_shift_px"),
    slope: mirrored * known(inputs, "baseline_slope"),
    scaleRatio,
  };
  const [butt, clubhead] = [seen(points, "butt"), seen(points, "clubhead")];
  const value = buttEndInside(butt, clubhead, seen(points, "ball"), pxPerGrip, line);
  if (value === null) {
    return { missing: butt[1] <= clubhead[1] ? NO_GROUND_HIT : BUTT_BELOW_GROUND };
  }
  const gripPx = pxPerGrip * scaleRatio;
  const drawn = Math.max(
    buttPointsSigmaPx(points, inputs, line) / gripPx,
    buttMarkingSigmaPx(points, inputs, line) / gripPx,
  );
  return {
    value: value + added(inputs),
    terms: {
      points: drawn,
      scale: Math.abs(value) * known(inputs, "sigma_scale"),
      depth: known(inputs, "sigma_depth"),
      ...sharedTerms(inputs),
    },
  };
}

/** One sigma, pixels along the ground row, from the three points: the hit column's gradient. */
function buttPointsSigmaPx(points: Points, inputs: Inputs, line: GroundLine): number {
  const [butt, clubhead, ball] = [
    seen(points, "butt"),
    seen(points, "clubhead"),
    seen(points, "ball"),
  ];
  const fall = butt[1] - clubhead[1];
  const lever = (ball[1] + line.rowShiftPx - butt[1]) / fall;
  const oblique = Math.hypot(1, (butt[0] - clubhead[0]) / fall);
  return combine(
    (1 + lever) * oblique * known(inputs, sigmaInput("butt")),
    lever * oblique * known(inputs, sigmaInput("clubhead")),
    oblique * known(inputs, sigmaInput("ball")),
  );
}

/** Least sigma, pixels along the ground row, of a hand-marked shaft: one line of two. */
function buttMarkingSigmaPx(points: Points, inputs: Inputs, line: GroundLine): number {
  const butt = seen(points, "butt");
  const hit = buttGroundHit(butt, seen(points, "clubhead"), seen(points, "ball")[1] + line.rowShiftPx);
  if (hit === null) return 0;
  const turn = toRadians(inputs["sigma_marking"] ?? 0) / Math.SQRT2;
  return turn * (hit.row - butt[1]) * (1 + hit.perRow ** 2);
}
