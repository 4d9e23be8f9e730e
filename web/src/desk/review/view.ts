import type { Xy } from "../../api/types";
import { fitInside, imagePoint, screenPoint, toImage, toScreen, type Fit } from "../../geometry";

export interface Size {
  width: number;
  height: number;
}

/**
 * Lay a picture into a pane: whole at zoom 1; larger around `centre` (picture pixels) beyond,
 * never leaving an empty strip that panning could fill.
 */
export function layIn(pane: Size, picture: Size, zoom: number, centre: Xy): Fit {
  const whole = fitInside(picture.width, picture.height, pane.width, pane.height);
  const scale = whole.scale * Math.max(1, zoom);
  return {
    left: along(pane.width, picture.width * scale, centre[0] * scale),
    top: along(pane.height, picture.height * scale, centre[1] * scale),
    scale,
  };
}

function along(pane: number, picture: number, centre: number): number {
  if (picture <= pane) return (pane - picture) / 2;
  return Math.min(0, Math.max(pane - picture, pane / 2 - centre));
}

export function spotOf(fit: Fit, at: Xy): Xy {
  const [x, y] = toScreen(imagePoint(...at), fit);
  return [x, y];
}

export function placeOf(fit: Fit, spot: Xy): Xy {
  const [x, y] = toImage(screenPoint(...spot), fit);
  return [x, y];
}

/**
 * The middle of what is on show after it was moved by so many pixels of the pane. It starts from what is seen: a centre that lies
 * nearer to the picture's edge than the pane can show would swallow the first moves away from it.
 */
export function movedBy(fit: Fit, pane: Size, [across, down]: Xy): Xy {
  return placeOf(fit, [pane.width / 2 + across, pane.height / 2 + down]);
}

/** Keep a point on the picture, to a tenth of a pixel: finer than any hand, and short to read. */
export function onPicture(at: Xy, picture: Size): Xy {
  const keep = (value: number, most: number): number => Math.round(Math.min(most - 1, Math.max(0, value)) * 10) / 10;
  return [keep(at[0], picture.width), keep(at[1], picture.height)];
}

/** How far a place lies from the stretch between two others. */
export function distanceToLine([x, y]: Xy, from: Xy, to: Xy): number {
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
  const share = ((x - from[0]) * dx + (y - from[1]) * dy) / (dx * dx + dy * dy || 1);
  const along = Math.min(1, Math.max(0, share));
  return Math.hypot(x - from[0] - along * dx, y - from[1] - along * dy);
}

const ROUNDS = 60;

/**
 * Handles for points, none nearer to another than `apart` (screen pixels): grip end and lead wrist
 * all but coincide, and a finger must be able to take either. Far ones stay on their points.
 */
export function spread(points: Readonly<Record<string, Xy>>, apart: number, far = Math.hypot): Record<string, Xy> {
  const names = Object.keys(points);
  const handles: Record<string, Xy> = Object.fromEntries(names.map((name) => [name, [...(points[name] ?? [0, 0])]]));
  for (let round = 0; round < ROUNDS; round += 1) {
    let settled = true;
    names.forEach((one, index) => {
      for (const other of names.slice(index + 1)) {
        if (push(handles[one] as Xy, handles[other] as Xy, apart, far)) settled = false;
      }
    });
    if (settled) break;
  }
  return handles;
}

/** Move two handles that are too near apart, each by half; false when they are not. */
function push(one: Xy, other: Xy, apart: number, far: typeof Math.hypot): boolean {
  const [dx, dy] = [other[0] - one[0], other[1] - one[1]];
  const distance = far(dx, dy);
  if (distance >= apart) return false;
  const [ux, uy] = distance === 0 ? [1, 0] : [dx / distance, dy / distance];
  const half = (apart - distance) / 2 + 0.01;
  one[0] -= ux * half;
  one[1] -= uy * half;
  other[0] += ux * half;
  other[1] += uy * half;
  return true;
}

/** How far squares lie apart: small ones are pressed anywhere in their square, so corners must not overlap either. */
const squarely = (dx: number, dy: number): number => Math.max(Math.abs(dx), Math.abs(dy));

/**
 * Handles for more points around ones that stay: `apart` from each other, and `fromFixed` from those, from square to
 * square.
 */
export function spreadAround(fixed: readonly Xy[], points: Readonly<Record<string, Xy>>, apart: number, fromFixed: number): Record<string, Xy> {
  let handles = spread(points, apart, squarely);
  for (let round = 0; round < ROUNDS; round += 1) {
    let settled = true;
    for (const handle of Object.values(handles)) {
      for (const one of fixed) {
        const [x, y] = handle;
        const distance = squarely(x - one[0], y - one[1]);
        if (distance >= fromFixed) continue;
        const [ux, uy] = distance === 0 ? [0, 1] : [(x - one[0]) / distance, (y - one[1]) / distance];
        handle[0] = one[0] + ux * (fromFixed + 0.01);
        handle[1] = one[1] + uy * (fromFixed + 0.01);
        settled = false;
      }
    }
    if (settled) break;
    handles = spread(handles, apart, squarely);
  }
  return handles;
}

/** The name of the point nearest to `at` (screen pixels), within `reach`; null when none is. */
export function nearest(points: Readonly<Record<string, Xy>>, at: Xy, reach: number): string | null {
  let best: string | null = null;
  let distance = reach;
  for (const [name, point] of Object.entries(points)) {
    const here = Math.hypot(point[0] - at[0], point[1] - at[1]);
    if (here <= distance) {
      best = name;
      distance = here;
    }
  }
  return best;
}
