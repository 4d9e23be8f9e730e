/**
 * The one formula of each checkpoint, with the terms of its uncertainty. Twin of
 * api/domain/checkpoint_formulas.py. Points are normalised for handedness before they come here.
 */

import {
  buttEndInside,
  buttGroundHit,
  leadArmShaftAngle,
  lengthPx,
  MIN_SEGMENT_PX,
  type GroundLine,
} from "./angles";
import { combine, directionSigma } from "./uncertainty";
import { toRadians, type Hand, type ImagePoint, type Inputs, type PointName, type Points } from "./units";

/** No value, and why, in words a student may read. */
export interface Missing {
  readonly missing: string;
}

export type Terms = Readonly<Record<string, number>>;

export interface Measured {
  readonly value: number;
  readonly terms: Terms;
}

export const NO_GROUND_HIT =
  "The line through the grip end does not reach the ground: the shaft is level or the clubhead " +
  "lies below the grip end, flatter than any number can say.";
export const BUTT_BELOW_GROUND =
  "The grip end lies no higher than the ground at the ball, so it points at no ground.";
export const NO_SCALE =
  "The size of the club in the picture is not known, so nothing scales it.";

const POINT_WORDS: Readonly<Record<PointName, string>> = {
  lead_shoulder: "lead shoulder",
  lead_elbow: "lead elbow",
  lead_wrist: "lead wrist",
  trail_shoulder: "trail shoulder",
  trail_wrist: "trail wrist",
  butt: "grip end",
  clubhead: "clubhead",
  ball: "ball",
};

/** A point's name as people say it. */
export const pointWords = (point: PointName): string => POINT_WORDS[point];

/** Name of the input that holds one sigma (pixels, each axis) of a point. */
export const sigmaInput = (point: PointName): string => `sigma_px_${point}`;

export const FORMULAS: Readonly<
  Record<
    "lead_arm_shaft_angle" | "butt_end_inside",
    (points: Points, inputs: Inputs, handed: Hand) => Measured | Missing
  >
> = { lead_arm_shaft_angle: armShaft, butt_end_inside: buttEnd };

/** An input that `evaluate` has checked to be there. */
function known(inputs: Inputs, name: string): number {
  const value = inputs[name];
  if (value === undefined) throw new Error(`input ${name} was not checked`);
  return value;
}

/** A point that `evaluate` has checked to be there. */
function seen(points: Points, name: PointName): ImagePoint {
  const point = points[name];
  if (point === undefined) throw new Error(`point ${name} was not checked`);
  return point;
}

function sharedTerms(inputs: Inputs): Terms {
  return {
    instant: known(inputs, "sigma_instant"),
    view: known(inputs, "sigma_view"),
    residual: known(inputs, "sigma_residual"),
  };
}

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
  const short =
    tooShort(points, "lead_wrist", "lead_shoulder") ?? tooShort(points, "butt", "clubhead");
  if (short !== null) return short;
  const drawn = combine(
    segmentSigma(points, inputs, "lead_wrist", "lead_shoulder"),
    segmentSigma(points, inputs, "butt", "clubhead"),
  );
  const drawnDeg = leadArmShaftAngle(
    seen(points, "lead_shoulder"),
    seen(points, "lead_wrist"),
    seen(points, "butt"),
    seen(points, "clubhead"),
  );
  // From the frame shown to the instant itself, by the angle's rate.
  const value = Math.min(Math.max(drawnDeg + (inputs["to_instant"] ?? 0), 0), 180);
  const marking = inputs["sigma_marking"] ?? 0;
  return { value, terms: { points: Math.max(drawn, marking), ...sharedTerms(inputs) } };
}

/** Distance inside and its error terms, grip lengths. */
function buttEnd(points: Points, inputs: Inputs, handed: Hand): Measured | Missing {
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
    value,
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
