/**
 * Formulas that several checkpoints share, with the terms of their uncertainty. Twin of
 * api/domain/picture_formulas.py, where each is explained. Points are normalised for handedness.
 */

import { angleAt, lengthPx, MIN_SEGMENT_PX } from "./angles";
import { mirrorX } from "./mirror";
import { angleAtSigma, combine, directionSigma, Z95 } from "./uncertainty";
import { imagePoint, toDegrees, type Hand, type ImagePoint, type Inputs, type PointName, type Points } from "./units";

/** No value, and why, in words a student may read. */
export interface Missing {
  readonly missing: string;
}

export type Terms = Readonly<Record<string, number>>;

export interface Measured {
  readonly value: number;
  readonly terms: Terms;
}

/** What of the original picture a formula may need. */
export interface Picture {
  readonly handed: Hand;
  readonly widthPx: number;
}

export type Formula = (points: Points, inputs: Inputs, picture: Picture) => Measured | Missing;

/** One or two points; two stand for the middle between them. */
export type Pair = readonly PointName[];

export const COMMON_SIGMAS = ["sigma_instant", "sigma_view", "sigma_residual"] as const;

export const WIDER =
  "The line is wider in the picture than at address: no shortening to read a turn from. The " +
  "camera may stand off its line.";
export const NO_UNIT =
  "The size of the golfer in the picture is not known, so nothing scales it.";
export const TOO_LITTLE_SET =
  "The wrists set by less than a degree: there is no share of it to tell.";
export const OUT_OF_ORDER =
  "The instants do not follow each other, so there is no time between them.";
export const SAME_SPOT =
  "Two points fall on the same spot of the picture, so they give no direction.";
export const LEAST_SET_DEG = 1;

/** Name of the input that holds one sigma (pixels, each axis) of a point. */
export const sigmaInput = (point: PointName): string => `sigma_px_${point}`;

/** An input that `evaluate` has checked to be there. */
export function known(inputs: Inputs, name: string): number {
  const value = inputs[name];
  if (value === undefined) throw new Error(`input ${name} was not checked`);
  return value;
}

/** A point that `evaluate` has checked to be there. */
export function seen(points: Points, name: PointName): ImagePoint {
  const point = points[name];
  if (point === undefined) throw new Error(`point ${name} was not checked`);
  return point;
}

/** The terms that every reading has: instant, view, residual. */
export function sharedTerms(inputs: Inputs): Terms {
  return {
    instant: known(inputs, "sigma_instant"),
    view: known(inputs, "sigma_view"),
    residual: known(inputs, "sigma_residual"),
  };
}

/** What is added to what the points show: to the instant, and to the ideal camera. */
export const added = (inputs: Inputs): number =>
  (inputs["to_instant"] ?? 0) + (inputs["to_ideal"] ?? 0);

/** The points' own term, never less than what people can mark by hand (degrees). */
export const marked = (drawn: number, inputs: Inputs): number =>
  Math.max(drawn, inputs["sigma_marking"] ?? 0);

function middle(points: Points, pair: Pair): ImagePoint {
  const chosen = pair.map((name) => seen(points, name));
  const mean = (axis: 0 | 1): number =>
    chosen.reduce((sum, point) => sum + point[axis], 0) / chosen.length;
  return imagePoint(mean(0), mean(1));
}

const middleSigma = (inputs: Inputs, pair: Pair): number =>
  combine(...pair.map((name) => known(inputs, sigmaInput(name)))) / pair.length;

/** Lean of `low` -> `high` from the vertical, degrees; to the right times `sign`. */
export function tilt(low: Pair, high: Pair, sign: 1 | -1, against: "upright" | "address" = "upright"): Formula {
  return (points, inputs) => {
    const [foot, head] = [middle(points, low), middle(points, high)];
    if (lengthPx(foot, head) < MIN_SEGMENT_PX) return { missing: SAME_SPOT };
    const lean = toDegrees(Math.atan2(head[0] - foot[0], -(head[1] - foot[1])));
    const drawn = directionSigma(foot, head, middleSigma(inputs, low), middleSigma(inputs, high));
    const value = sign * lean + added(inputs);
    const terms = { points: marked(drawn, inputs), ...sharedTerms(inputs) };
    if (against === "upright") return { value, terms };
    return {
      value: value - known(inputs, "reference_deg"),
      terms: { ...terms, reference: known(inputs, "sigma_reference") },
    };
  };
}

/** 180 less the angle at a joint, degrees: 0 is a straight limb. */
export function bend(first: PointName, vertex: PointName, last: PointName): Formula {
  return (points, inputs) => {
    const [joint, one, other] = [seen(points, vertex), seen(points, first), seen(points, last)];
    if (Math.min(lengthPx(joint, one), lengthPx(joint, other)) < MIN_SEGMENT_PX) {
      return { missing: SAME_SPOT };
    }
    const drawn = angleAtSigma(joint, one, other, {
      vertexPx: known(inputs, sigmaInput(vertex)),
      firstPx: known(inputs, sigmaInput(first)),
      secondPx: known(inputs, sigmaInput(last)),
    });
    return {
      value: 180 - angleAt(joint, one, other) + added(inputs),
      terms: { points: marked(drawn, inputs), ...sharedTerms(inputs) },
    };
  };
}

/** Acute angle of `start` -> `end` to level, degrees. */
export function pitch(start: PointName, end: PointName): Formula {
  return (points, inputs) => {
    const [foot, head] = [seen(points, start), seen(points, end)];
    if (lengthPx(foot, head) < MIN_SEGMENT_PX) return { missing: SAME_SPOT };
    const drawn = directionSigma(
      foot,
      head,
      known(inputs, sigmaInput(start)),
      known(inputs, sigmaInput(end)),
    );
    const acute = toDegrees(Math.atan2(Math.abs(head[1] - foot[1]), Math.abs(head[0] - foot[0])));
    return {
      value: acute + added(inputs),
      terms: { points: marked(drawn, inputs), ...sharedTerms(inputs) },
    };
  };
}

/**
 * How far the middle of `pair` lies to the right of a place, times `sign`, in units. The place is
 * the middle of `since`, or the column `from_x_px` of the original picture.
 */
export function across(pair: Pair, sign: 1 | -1, since: Pair = []): Formula {
  return (points, inputs, picture) => {
    const unit = known(inputs, "px_per_unit");
    if (unit <= 0) return { missing: NO_UNIT };
    const [place, spread] =
      since.length > 0
        ? [middle(points, since)[0], middleSigma(inputs, since)]
        : [column(known(inputs, "from_x_px"), picture), known(inputs, "sigma_from_px")];
    const shown = (sign * (middle(points, pair)[0] - place)) / unit;
    return {
      value: shown + added(inputs),
      terms: {
        points: combine(middleSigma(inputs, pair), spread) / unit,
        scale: Math.abs(shown) * known(inputs, "sigma_scale"),
        ...sharedTerms(inputs),
      },
    };
  };
}

/** A column of the original picture, in the normalised one. */
const column = (originalX: number, picture: Picture): number =>
  picture.handed === "left" ? mirrorX(originalX, picture.widthPx) : originalX;

/** Turn of a line since address from its shortening, degrees in [0, 180]. */
export function turn(lead: PointName, trail: PointName): Formula {
  return (points, inputs) => {
    const whole = known(inputs, "address_width_px");
    if (whole <= 0) return { missing: NO_UNIT };
    const measured = (seen(points, lead)[0] - seen(points, trail)[0]) / whole;
    if (measured > 1) return { missing: WIDER };
    const share = Math.max(measured, -1);
    const ends = combine(known(inputs, sigmaInput(lead)), known(inputs, sigmaInput(trail)));
    const reach = (Z95 * combine(ends, share * known(inputs, "sigma_width_px"))) / whole;
    const turned = Math.acos(share);
    const less = Math.acos(Math.min(share + reach, 1));
    const more = Math.acos(Math.max(share - reach, -1));
    return {
      value: Math.min(Math.max(toDegrees(turned) + added(inputs), 0), 180),
      terms: {
        points: toDegrees(Math.max(turned - less, more - turned)) / Z95,
        ...sharedTerms(inputs),
      },
    };
  };
}

/** Where `place` lies along the picture's x from `zero` (0) to `one` (1). */
export function between(place: PointName, zero: PointName, one: PointName): Formula {
  return (points, inputs) => {
    const whole = seen(points, one)[0] - seen(points, zero)[0];
    if (whole < MIN_SEGMENT_PX) return { missing: NO_UNIT };
    const share = (seen(points, place)[0] - seen(points, zero)[0]) / whole;
    const spread = combine(
      known(inputs, sigmaInput(place)),
      (1 - share) * known(inputs, sigmaInput(zero)),
      share * known(inputs, sigmaInput(one)),
    );
    return {
      value: share + added(inputs),
      terms: { points: spread / whole, ...sharedTerms(inputs) },
    };
  };
}

/** (top - takeaway) / (impact - top). The top belongs to both times: its error enters once. */
export const tempo: Formula = (_, inputs) => {
  const start = known(inputs, "takeaway_s");
  const top = known(inputs, "top_s");
  const impact = known(inputs, "impact_s");
  if (!(start < top && top < impact)) return { missing: OUT_OF_ORDER };
  const down = impact - top;
  const value = (top - start) / down;
  return {
    value,
    terms: {
      takeaway: known(inputs, "sigma_takeaway_s") / down,
      top: ((1 + value) * known(inputs, "sigma_top_s")) / down,
      impact: (value * known(inputs, "sigma_impact_s")) / down,
      ...sharedTerms(inputs),
    },
  };
};

/** `to_s` less `from_s`, seconds. */
export const span: Formula = (_, inputs) => ({
  value: known(inputs, "to_s") - known(inputs, "from_s"),
  terms: {
    start: known(inputs, "sigma_from_s"),
    end: known(inputs, "sigma_to_s"),
    ...sharedTerms(inputs),
  },
});

/** A direction that no picture shows, told from depths. */
export const inSpace: Formula = (_, inputs) => ({
  value: known(inputs, "value_deg") + added(inputs),
  terms: { depth: known(inputs, "sigma_depth"), ...sharedTerms(inputs) },
});
