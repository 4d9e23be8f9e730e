/** Square crops for the landmark network: where they lie and how points come back. As `worker/body/crops.py`. */

export const LANDMARK_SIDE = 256;

/** The networks were trained on the body circle's square enlarged by this factor. */
const CROP_MARGIN = 1.25;

export type Place = readonly [number, number];

/** A rotated square in picture pixels; `angle` in radians turns its up direction clockwise as seen. */
export interface Crop {
  x: number;
  y: number;
  side: number;
  angle: number;
}

/** The crop from the mid-hip point and the point on the body circle above it. */
export function cropAround(centre: Place, edge: Place): Crop {
  const dx = edge[0] - centre[0];
  const dy = edge[1] - centre[1];
  return { x: centre[0], y: centre[1], side: 2 * Math.hypot(dx, dy) * CROP_MARGIN, angle: Math.atan2(dx, -dy) };
}

/** The 2 x 3 matrix, row by row, from crop pixels (0 to 256) to picture pixels, both counted from edges. */
export function cropMatrix(crop: Crop): [number, number, number, number, number, number] {
  const scale = crop.side / LANDMARK_SIDE;
  const cos = scale * Math.cos(crop.angle);
  const sin = scale * Math.sin(crop.angle);
  const half = LANDMARK_SIDE / 2;
  return [cos, -sin, crop.x - cos * half + sin * half, sin, cos, crop.y - sin * half - cos * half];
}

/** A point in crop pixels, in picture pixels. */
export function toPicture(crop: Crop, [x, y]: Place): Place {
  const [a, b, c, d, e, f] = cropMatrix(crop);
  return [a * x + b * y + c, d * x + e * y + f];
}
