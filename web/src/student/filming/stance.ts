/**
 * What the body points of a still golfer tell of the framing. The worker's own rules (`worker/measure/seen.py`,
 * `filming.py`, `setting.py`), with its own limits; `tests/vectors/framing.json` holds both sides to the same answers.
 */

import type { View } from "../../api/types";
import type { Place } from "./body/crop";
import { LIMITS, median, quantile, type Estimate } from "./estimates";

/** Index of a body point. */
const NOSE = 0;
const SHOULDERS = [11, 12] as const;
const HIPS = [23, 24] as const;
const KNEES = [25, 26] as const;
const ANKLES = [27, 28] as const;
const TOES = [31, 32] as const;
const HEAD_AND_FEET = [NOSE, ...ANKLES, ...TOES];
/** Wrist, little finger, index finger and thumb of both hands: their mean is the middle of the grip. */
const HANDS = [15, 16, 17, 18, 19, 20, 21, 22];

export interface Size {
  width: number;
  height: number;
}

/** 33 places in each of some pictures, in time order; at least one picture. */
export type Track = readonly (readonly Place[])[];

const at = (places: readonly Place[], index: number): Place => places[index] ?? [NaN, NaN];
const gap = (one: Place, other: Place): number => Math.hypot(one[0] - other[0], one[1] - other[1]);

/** Median over the pictures, each axis by itself. */
export const medianPlace = (track: Track, index: number): Place => [
  median(track.map((places) => at(places, index)[0])),
  median(track.map((places) => at(places, index)[1])),
];

const middleOf = (track: Track, indices: readonly number[]): Place => {
  const mean = (axis: 0 | 1, places: readonly Place[]): number =>
    indices.reduce((sum, index) => sum + at(places, index)[axis], 0) / indices.length;
  return [median(track.map((places) => mean(0, places))), median(track.map((places) => mean(1, places)))];
};

export const hands = (track: Track): Place => middleOf(track, HANDS);
export const feet = (track: Track): Place => middleOf(track, ANKLES);
const shoulderRow = (track: Track): number => median(track.map((places) => (at(places, SHOULDERS[0])[1] + at(places, SHOULDERS[1])[1]) / 2));

/** The hands wander less than this at address, statures over a second (working value: a waggle is less, a takeaway more). */
const STILL_STATURES = 0.1;

/**
 * Whether the golfer stands as at address, the hands still and below the shoulders. Else the stance's rules do not
 * hold: a turned body looks like another view.
 */
export function standsStill(track: Track): boolean {
  if (track.length === 0 || hands(track)[1] < shoulderRow(track)) return false;
  const places = track.map((one) => hands([one]));
  const wander = ([0, 1] as const).map((axis) => {
    const values = places.map((place) => place[axis]);
    return Math.max(...values) - Math.min(...values);
  });
  return Math.max(...wander) <= STILL_STATURES * staturePx(track);
}

/** Hip to knee plus knee to ankle, both legs' mean, pixels. */
export function legPx(track: Track): number {
  const leg = (side: 0 | 1): number =>
    median(
      track.map(
        (places) =>
          gap(at(places, HIPS[side]), at(places, KNEES[side])) + gap(at(places, KNEES[side]), at(places, ANKLES[side])),
      ),
    );
  return (leg(0) + leg(1)) / 2;
}

export const staturePx = (track: Track): number => legPx(track) / (LIMITS.leg_over_stature * LIMITS.leg_seen);

/** Face-on or down-the-line by the width of the shoulder line over the legs; null where unclear. */
export function viewSeen(track: Track): View | null {
  const widths = track.map((places) => Math.abs(at(places, SHOULDERS[0])[0] - at(places, SHOULDERS[1])[0]));
  const leg = legPx(track);
  const usual = quantile(widths, 0.5) / leg;
  const broadest = quantile(widths, LIMITS.broadest) / leg;
  if (usual >= LIMITS.face_on_min) return "face-on";
  return usual <= LIMITS.behind_max && broadest < LIMITS.face_on_min ? "down-the-line" : null;
}

export type Edge = "left" | "top" | "right" | "bottom";

/** How far a place lies outside the picture past each edge, pixels; negative inside. */
const beyond = ([x, y]: Place, size: Size): [Edge, number][] => [
  ["left", -x],
  ["top", -y],
  ["right", x - (size.width - 1)],
  ["bottom", y - (size.height - 1)],
];

/** The edge past which head or feet are, where they are surely outside the picture. */
export function cutOffAt(track: Track, size: Size): Edge | null {
  const past = HEAD_AND_FEET.flatMap((index) => beyond(medianPlace(track, index), size));
  const [edge, far] = past.reduce((most, one) => (one[1] > most[1] ? one : most));
  return far > LIMITS.out_statures * staturePx(track) ? edge : null;
}

/** Pixels per metre at the golfer, from the legs. */
export function scale(track: Track, statureM: number | null): Estimate {
  const stature = statureM === null ? LIMITS.stature_m : { value: statureM, sigma: 0.02 };
  const value = legPx(track) / (LIMITS.leg_over_stature * LIMITS.leg_seen * stature.value);
  return { value, sigma: value * Math.hypot(LIMITS.proportion_sigma, stature.sigma / stature.value) };
}

const focal = (size: Size): Estimate => {
  const long = Math.max(size.width, size.height);
  return { value: LIMITS.focal_over_long_side.value * long, sigma: LIMITS.focal_over_long_side.sigma * long };
};

/** Lens to golfer, metres, by an ordinary phone's lens. */
export function distanceM(pxPerM: Estimate, size: Size): Estimate {
  const lens = focal(size);
  const value = lens.value / pxPerM.value;
  return { value, sigma: value * Math.hypot(lens.sigma / lens.value, pxPerM.sigma / pxPerM.value) };
}

/**
 * Lens above the hands, metres, negative below: rows between the horizon and the hands.
 *
 * `downDeg`: how far the lens looks down; `rollDeg`: how far what is seen is turned anticlockwise.
 */
export function aboveHandsM(track: Track, pxPerM: Estimate, size: Size, downDeg: Estimate, rollDeg: number): Estimate {
  const lens = focal(size);
  const down = (downDeg.value * Math.PI) / 180;
  const roll = (rollDeg * Math.PI) / 180;
  const horizon = -lens.value * Math.tan(down);
  const perRad = lens.value / Math.cos(down) ** 2;
  const horizonSigma = Math.hypot((perRad * downDeg.sigma * Math.PI) / 180, lens.sigma * Math.tan(down));
  const [x, y] = hands(track);
  const rows = Math.sin(roll) * (x - (size.width - 1) / 2) + Math.cos(roll) * (y - (size.height - 1) / 2) - horizon;
  const value = rows / pxPerM.value;
  return { value, sigma: Math.hypot(horizonSigma / pxPerM.value, (value * pxPerM.sigma) / pxPerM.value) };
}
