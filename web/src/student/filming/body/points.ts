/** Body points of one person, with the heatmap refinement. As `worker/body/points.py`. */

import { cropAround, LANDMARK_SIDE, toPicture, type Crop, type Place } from "./crop";
import { sigmoid } from "./detector";

export const BODY_POINTS = 33;
const HEATMAP_SIDE = 64;
/** 33 body points, two that place the next crop, four unused. */
const LANDMARKS = 39;
const WINDOW = 7;
/** Least peak of the published refinement step of this network. */
const PEAK_MIN = 0.5;

/** What the landmark network says of one crop. */
export interface RawLandmarks {
  /** 39 x 5: x, y, z, seen, present. Crop pixels and logits. */
  table: Float32Array;
  /** Probability that the crop holds a person. */
  person: number;
  /** 64 x 64 x 39 logits. */
  heatmaps: Float32Array;
}

/** Body points in picture pixels (centre of the first pixel is 0, 0). */
export interface BodyPoints {
  /** 33 places. */
  xy: Place[];
  /** 33 probabilities that the point is in view and not hidden. */
  seen: number[];
  person: number;
  nextCrop: Crop;
}

/** Move a point (crop pixels) to the centre of mass of its heatmap's peak nearby, where there is one. */
export function refine(place: Place, point: number, heatmaps: Float32Array): Place {
  const cell = LANDMARK_SIDE / HEATMAP_SIDE;
  const column = Math.trunc(place[0] / cell);
  const row = Math.trunc(place[1] / cell);
  if (column < 0 || row < 0 || column >= HEATMAP_SIDE || row >= HEATMAP_SIDE) return place;
  const reach = Math.floor(WINDOW / 2);
  let peak = 0;
  let total = 0;
  let sumX = 0;
  let sumY = 0;
  for (let y = Math.max(0, row - reach); y <= Math.min(HEATMAP_SIDE - 1, row + reach); y += 1) {
    for (let x = Math.max(0, column - reach); x <= Math.min(HEATMAP_SIDE - 1, column + reach); x += 1) {
      const weight = sigmoid(heatmaps[(y * HEATMAP_SIDE + x) * LANDMARKS + point] as number);
      peak = Math.max(peak, weight);
      total += weight;
      sumX += x * weight;
      sumY += y * weight;
    }
  }
  return peak >= PEAK_MIN ? [(sumX / total) * cell, (sumY / total) * cell] : place;
}

/** From the network's output on a crop to points in the picture. */
export function bodyPoints(raw: RawLandmarks, crop: Crop): BodyPoints {
  const found = Array.from({ length: BODY_POINTS + 2 }, (_none, point): Place => {
    const place: Place = [raw.table[point * 5] as number, raw.table[point * 5 + 1] as number];
    return toPicture(crop, point < BODY_POINTS ? refine(place, point, raw.heatmaps) : place);
  });
  return {
    // Crops count from the picture's edge, points from the first pixel's centre.
    xy: found.slice(0, BODY_POINTS).map(([x, y]): Place => [x - 0.5, y - 0.5]),
    seen: Array.from({ length: BODY_POINTS }, (_none, point) => sigmoid(raw.table[point * 5 + 3] as number)),
    person: raw.person,
    nextCrop: cropAround(found[BODY_POINTS] as Place, found[BODY_POINTS + 1] as Place),
  };
}
