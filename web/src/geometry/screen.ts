/** Between the picture's own pixels and where they stand on the screen. */

import {
  imagePoint,
  screenPoint,
  type ImagePoint,
  type ScreenPoint,
} from "./units";

/** The picture drawn at `scale` screen pixels per picture pixel, its corner at left, top. */
export interface Fit {
  readonly scale: number;
  readonly left: number;
  readonly top: number;
}

/** The largest fit of a whole picture into a box, centred. */
export function fitInside(
  pictureWidth: number,
  pictureHeight: number,
  boxWidth: number,
  boxHeight: number,
): Fit {
  const scale = Math.min(boxWidth / pictureWidth, boxHeight / pictureHeight);
  return {
    scale,
    left: (boxWidth - pictureWidth * scale) / 2,
    top: (boxHeight - pictureHeight * scale) / 2,
  };
}

export function toScreen(point: ImagePoint, fit: Fit): ScreenPoint {
  return screenPoint(fit.left + point[0] * fit.scale, fit.top + point[1] * fit.scale);
}

export function toImage(point: ScreenPoint, fit: Fit): ImagePoint {
  return imagePoint((point[0] - fit.left) / fit.scale, (point[1] - fit.top) / fit.scale);
}
