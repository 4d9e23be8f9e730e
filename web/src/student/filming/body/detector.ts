/** People in a whole picture: anchors and decoding of the detector's output. As `worker/body/detector.py`. */

import { cropAround, type Crop } from "./crop";
import { DETECTOR_SIDE, type Letterbox } from "./picture";

/** At 0.5 the detector misses golfers bent over at address. */
const SCORE_MIN = 0.3;
/** Two circles that overlap by more than this share are one person. */
const OVERLAP_MAX = 0.3;
/** A golfer bent over at address leans 45 degrees at most: who leans more was seen wrongly, and is not counted. */
const UPRIGHT_RAD = 0.85;
const STRIDES_AND_ANCHORS = [
  [8, 2],
  [16, 2],
  [32, 6],
] as const;
/** Numbers in a raw box: centre, size, then four points. */
const BOX = 12;

export interface Person {
  score: number;
  crop: Crop;
}

/** Anchor centres in detector pixels: cell centres, row by row. */
export const ANCHORS: readonly (readonly [number, number])[] = STRIDES_AND_ANCHORS.flatMap(([stride, perCell]) => {
  const cells = DETECTOR_SIDE / stride;
  return Array.from({ length: cells * cells * perCell }, (_none, index) => {
    const cell = Math.floor(index / perCell);
    return [((cell % cells) + 0.5) * stride, (Math.floor(cell / cells) + 0.5) * stride] as const;
  });
});

export const sigmoid = (logit: number): number => 1 / (1 + Math.exp(-Math.min(80, Math.max(-80, logit))));

/** Separate upright people, best first, from raw boxes (2254 x 12) and score logits (2254). */
export function decodePeople(boxes: Float32Array, logits: Float32Array, into: Letterbox): Person[] {
  const kept: Person[] = [];
  const scores = Array.from(logits, sigmoid);
  const order = scores.flatMap((score, index) => (score >= SCORE_MIN ? [index] : []));
  order.sort((one, other) => (scores[other] as number) - (scores[one] as number));
  for (const index of order) {
    const person = { score: scores[index] as number, crop: cropOf(boxes, index, into) };
    if (kept.every((other) => overlap(person.crop, other.crop) < OVERLAP_MAX)) kept.push(person);
  }
  return kept.filter((person) => Math.abs(wrapped(person.crop.angle)) <= UPRIGHT_RAD);
}

function cropOf(boxes: Float32Array, index: number, into: Letterbox): Crop {
  const anchor = ANCHORS[index] as readonly [number, number];
  const point = (which: number): [number, number] => [
    ((boxes[index * BOX + 4 + 2 * which] as number) + anchor[0] - into.left) / into.scale,
    ((boxes[index * BOX + 5 + 2 * which] as number) + anchor[1] - into.top) / into.scale,
  ];
  return cropAround(point(0), point(1));
}

/** Intersection over union of the crops' upright squares. */
function overlap(one: Crop, other: Crop): number {
  const along = (a: number, b: number): number =>
    Math.min(a + one.side / 2, b + other.side / 2) - Math.max(a - one.side / 2, b - other.side / 2);
  const wide = along(one.x, other.x);
  const high = along(one.y, other.y);
  if (wide <= 0 || high <= 0) return 0;
  return (wide * high) / (one.side ** 2 + other.side ** 2 - wide * high);
}

const wrapped = (angle: number): number => Math.atan2(Math.sin(angle), Math.cos(angle));
