/**
 * Pixels for the body networks. The same steps as the worker's (`worker/body/detector.py`, `crops.py`), which uses
 * OpenCV: area averages into the detector's square, bilinear samples into the landmark crop, values rounded to bytes.
 */

import type { Crop } from "./crop";
import { cropMatrix, LANDMARK_SIDE } from "./crop";

/** RGBA bytes, row by row, as a canvas gives them. */
export interface Picture {
  width: number;
  height: number;
  data: Uint8ClampedArray;
}

export const DETECTOR_SIDE = 224;

/** Where the picture lies in the detector's square: `square = picture * scale + (left, top)`. */
export interface Letterbox {
  values: Float32Array;
  scale: number;
  left: number;
  top: number;
}

/** For each target pixel, which source pixels it covers and with what share. */
function shares(from: number, to: number): { first: number; weights: number[] }[] {
  const step = from / to;
  return Array.from({ length: to }, (_none, index) => {
    const begin = index * step;
    const end = Math.min(begin + step, from);
    const first = Math.floor(begin + 1e-9);
    const last = Math.max(first, Math.ceil(end - 1e-9) - 1);
    const weights: number[] = [];
    for (let at = first; at <= last; at += 1) weights.push((Math.min(at + 1, end) - Math.max(at, begin)) / (end - begin));
    return { first, weights };
  });
}

/** Python's `round`: halves go to the even neighbour. */
function roundHalfEven(value: number): number {
  const down = Math.floor(value);
  if (value - down !== 0.5) return Math.round(value);
  return down % 2 === 0 ? down : down + 1;
}

/** Fit a picture whose longer side is at least 224 into the square, scaled to -1 to 1; black is -1. */
export function letterbox(picture: Picture): Letterbox {
  const scale = DETECTOR_SIDE / Math.max(picture.width, picture.height);
  const width = roundHalfEven(picture.width * scale);
  const height = roundHalfEven(picture.height * scale);
  const left = Math.floor((DETECTOR_SIDE - width) / 2);
  const top = Math.floor((DETECTOR_SIDE - height) / 2);
  const columns = shares(picture.width, width);
  // Rows are averaged last: each source row is squeezed once.
  const squeezed = new Float32Array(picture.height * width * 3);
  for (let y = 0; y < picture.height; y += 1) {
    for (let x = 0; x < width; x += 1) {
      const { first, weights } = columns[x] as (typeof columns)[number];
      for (let channel = 0; channel < 3; channel += 1) {
        let sum = 0;
        weights.forEach((weight, at) => {
          sum += weight * (picture.data[(y * picture.width + first + at) * 4 + channel] as number);
        });
        squeezed[(y * width + x) * 3 + channel] = sum;
      }
    }
  }
  const values = new Float32Array(DETECTOR_SIDE * DETECTOR_SIDE * 3).fill(-1);
  shares(picture.height, height).forEach(({ first, weights }, y) => {
    for (let at = 0; at < width * 3; at += 1) {
      let sum = 0;
      weights.forEach((weight, row) => {
        sum += weight * (squeezed[(first + row) * width * 3 + at] as number);
      });
      values[((y + top) * DETECTOR_SIDE + left) * 3 + at] = Math.round(sum) / 127.5 - 1;
    }
  });
  return { values, scale, left, top };
}

/** The crop (256 x 256 x 3) as the landmark network takes it, 0 to 1; black outside the picture. */
export function cutCrop(picture: Picture, crop: Crop): Float32Array {
  const [a, b, c, d, e, f] = cropMatrix(crop);
  const values = new Float32Array(LANDMARK_SIDE * LANDMARK_SIDE * 3);
  const { width, height, data } = picture;
  const at = (x: number, y: number, channel: number): number =>
    x < 0 || y < 0 || x >= width || y >= height ? 0 : (data[(y * width + x) * 4 + channel] as number);
  for (let row = 0; row < LANDMARK_SIDE; row += 1) {
    for (let column = 0; column < LANDMARK_SIDE; column += 1) {
      // Crops count from edges, pixels from their centres.
      const x = a * (column + 0.5) + b * (row + 0.5) + c - 0.5;
      const y = d * (column + 0.5) + e * (row + 0.5) + f - 0.5;
      const x0 = Math.floor(x);
      const y0 = Math.floor(y);
      const u = x - x0;
      const v = y - y0;
      for (let channel = 0; channel < 3; channel += 1) {
        const above = at(x0, y0, channel) * (1 - u) + at(x0 + 1, y0, channel) * u;
        const below = at(x0, y0 + 1, channel) * (1 - u) + at(x0 + 1, y0 + 1, channel) * u;
        values[(row * LANDMARK_SIDE + column) * 3 + channel] = Math.round(above * (1 - v) + below * v) / 255;
      }
    }
  }
  return values;
}

/** The grey level (0 to 255) that a share of the picture's pixels stay below; every fourth pixel each way is looked at. */
export function greyLevel(picture: Picture, share: number): number {
  const counts = new Uint32Array(256);
  let total = 0;
  for (let y = 0; y < picture.height; y += 4) {
    for (let x = 0; x < picture.width; x += 4) {
      const at = (y * picture.width + x) * 4;
      const [red, green, blue] = picture.data.subarray(at, at + 3) as unknown as [number, number, number];
      const grey = Math.round(0.299 * red + 0.587 * green + 0.114 * blue);
      counts[grey] = (counts[grey] as number) + 1;
      total += 1;
    }
  }
  let below = 0;
  for (let grey = 0; grey < 256; grey += 1) {
    below += counts[grey] as number;
    if (below >= share * total) return grey;
  }
  return 255;
}
