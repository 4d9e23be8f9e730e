/** How errors add up. Twin of api/domain/uncertainty.py: first order, one sigma in, one out. */

import { lengthPx } from "./angles";
import { toDegrees, type Degrees, type ImagePoint } from "./units";

/** Half-width of a 95 % interval in sigmas. */
export const Z95 = 1.959963984540054;

/** Half of the 95 % interval of a normal error. */
export const halfWidth = (sigma: number): number => Z95 * sigma;

/** Sigma of a sum of independent errors. */
export function combine(...sigmas: readonly number[]): number {
  return Math.hypot(...sigmas);
}

/** 95 % interval of a normal error, cut at what the quantity can be. */
export function interval95(
  value: number,
  sigma: number,
  lowest = -Infinity,
  highest = Infinity,
): readonly [low: number, high: number] {
  const half = halfWidth(sigma);
  return [Math.max(lowest, value - half), Math.min(highest, value + half)];
}

/** One sigma of the direction of a segment whose two ends err independently. */
export function directionSigma(
  start: ImagePoint,
  end: ImagePoint,
  sigmaStartPx: number,
  sigmaEndPx: number,
): Degrees {
  return toDegrees(Math.hypot(sigmaStartPx, sigmaEndPx) / lengthPx(start, end));
}

export interface AngleSigmas {
  readonly vertexPx: number;
  readonly firstPx: number;
  readonly secondPx: number;
}

/**
 * One sigma of `angleAt`. The vertex belongs to both rays, so its error enters once, with its
 * sign: treating the rays as independent is wrong.
 */
export function angleAtSigma(
  vertex: ImagePoint,
  first: ImagePoint,
  second: ImagePoint,
  sigmas: AngleSigmas,
): Degrees {
  const [firstTurn, firstPx] = turnByFarEnd(vertex, first);
  const [secondTurn, secondPx] = turnByFarEnd(vertex, second);
  const vertexTurn = Math.hypot(firstTurn[0] - secondTurn[0], firstTurn[1] - secondTurn[1]);
  return toDegrees(
    Math.hypot(
      sigmas.firstPx / firstPx,
      sigmas.secondPx / secondPx,
      sigmas.vertexPx * vertexTurn,
    ),
  );
}

/** Gradient of a ray's direction by its far end (the ray turned by a quarter), and its length. */
function turnByFarEnd(
  vertex: ImagePoint,
  end: ImagePoint,
): readonly [turn: readonly [number, number], length: number] {
  const [x, y] = [end[0] - vertex[0], end[1] - vertex[1]];
  const length = Math.hypot(x, y);
  return [[-y / length ** 2, x / length ** 2], length];
}
