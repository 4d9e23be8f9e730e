/**
 * Directions, angles and the butt end's ground point. Twin of api/domain/geometry.py; the vectors
 * in tests/vectors hold the two to the same numbers. Points are normalised for handedness first.
 */

import {
  degrees,
  imagePx,
  toDegrees,
  type Degrees,
  type ImagePoint,
  type ImagePx,
} from "./units";

/** Shorter segments have no direction worth the name: one pixel turns them by seven degrees. */
export const MIN_SEGMENT_PX = 8;

export function lengthPx(start: ImagePoint, end: ImagePoint): ImagePx {
  return imagePx(Math.hypot(end[0] - start[0], end[1] - start[1]));
}

/** Degrees in (-180, 180]; 0 points to the picture's right, 90 up, 180 left. */
export function direction(start: ImagePoint, end: ImagePoint): Degrees {
  // Adding 0 turns -0 into 0, so that a level segment to the left is 180 and never -180.
  const rise = -(end[1] - start[1]) + 0;
  return toDegrees(Math.atan2(rise, end[0] - start[0]));
}

/** Degrees above level in [-90, 90]; left and right are not told apart. */
export function elevation(start: ImagePoint, end: ImagePoint): Degrees {
  return toDegrees(Math.atan2(-(end[1] - start[1]) + 0, Math.abs(end[0] - start[0])));
}

/** The same direction, degrees in [0, 360). */
export function wrap360(angle: number): Degrees {
  const wrapped = ((angle % 360) + 360) % 360;
  return degrees(wrapped === 360 ? 0 : wrapped);
}

/** Unsigned angle between two directions, degrees in [0, 180]. */
export function angleBetween(first: number, second: number): Degrees {
  const turn = wrap360(first - second);
  return degrees(Math.min(turn, 360 - turn));
}

/** Unsigned angle at a vertex, degrees in [0, 180]; 180 means the rays are opposed. */
export function angleAt(vertex: ImagePoint, first: ImagePoint, second: ImagePoint): Degrees {
  return angleBetween(direction(vertex, first), direction(vertex, second));
}

/**
 * Turn from the lead arm's line to the shaft with its sense kept, degrees in [0, 360). About 180 at
 * address, 90 when set to an upright L; over 180 the shaft has passed the straight line.
 */
export const armShaftTurn = (
  leadShoulder: ImagePoint,
  leadWrist: ImagePoint,
  butt: ImagePoint,
  clubhead: ImagePoint,
): Degrees => wrap360(direction(butt, clubhead) - direction(leadWrist, leadShoulder));

/**
 * Angle between the lead arm (lead wrist -> lead shoulder) and the shaft (butt -> clubhead).
 * Unsigned, degrees in [0, 180]; 180 is arm and shaft in one line, 90 an upright L.
 */
export function leadArmShaftAngle(
  leadShoulder: ImagePoint,
  leadWrist: ImagePoint,
  butt: ImagePoint,
  clubhead: ImagePoint,
): Degrees {
  const turned = armShaftTurn(leadShoulder, leadWrist, butt, clubhead);
  return degrees(Math.min(turned, 360 - turned));
}

export interface GroundHit {
  readonly x: ImagePx;
  readonly row: ImagePx;
  /** Sideways pixels per row downwards along the prolonged shaft. */
  readonly perRow: number;
}

/** The ball-target line as seen; the defaults are the first estimate, with no correction. */
export interface GroundLine {
  readonly rowShiftPx: number;
  readonly slope: number;
  readonly scaleRatio: number;
}

export const FLAT_GROUND: GroundLine = { rowShiftPx: 0, slope: 0, scaleRatio: 1 };

/**
 * Prolong clubhead -> butt beyond the butt end down to a picture row. `null` is "no ground hit":
 * the line is level or rises, or the butt end is already at or below that row.
 */
export function buttGroundHit(
  butt: ImagePoint,
  clubhead: ImagePoint,
  groundRow: number,
): GroundHit | null {
  const fall = butt[1] - clubhead[1];
  if (fall <= 0 || butt[1] >= groundRow) return null;
  const perRow = (butt[0] - clubhead[0]) / fall;
  return { x: imagePx(butt[0] + (groundRow - butt[1]) * perRow), row: imagePx(groundRow), perRow };
}

/** Grip lengths from the ball-target line towards the golfer; `null` is "no ground hit". */
export function buttEndInside(
  butt: ImagePoint,
  clubhead: ImagePoint,
  ball: ImagePoint,
  pxPerGrip: number,
  line: GroundLine = FLAT_GROUND,
): number | null {
  const hit = buttGroundHit(butt, clubhead, ball[1] + line.rowShiftPx);
  if (hit === null) return null;
  const lineX = ball[0] + line.slope * line.rowShiftPx;
  return (lineX - hit.x) / (pxPerGrip * line.scaleRatio);
}
