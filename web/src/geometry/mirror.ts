/** Handedness. Twin of api/domain/mirror.py: points keep their lead / trail names, only x moves. */

import { imagePx, type Hand, type ImagePoint, type ImagePx, type PointName, type Points } from "./units";

/** `x -> (width - 1) - x`, so that pixel centres land on pixel centres. Its own inverse. */
export function mirrorX(x: number, widthPx: number): ImagePx {
  return imagePx(widthPx - 1 - x);
}

/** Original pixels <-> the right-hander's picture. Its own inverse. */
export function normalisePoint(point: ImagePoint, handed: Hand, widthPx: number): ImagePoint {
  return handed === "left" ? [mirrorX(point[0], widthPx), point[1]] : point;
}

export function normalisePoints(points: Points, handed: Hand, widthPx: number): Points {
  const pairs = Object.entries(points) as [PointName, ImagePoint][];
  return Object.fromEntries(
    pairs.map(([name, point]) => [name, normalisePoint(point, handed, widthPx)]),
  );
}
