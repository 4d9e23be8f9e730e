import type { Drawing, Shape, Stroke, Xy } from "../../api/types";
import { radius } from "../../answer/drawings";
import type { KeyframeNow } from "./keyframes";
import { distanceToLine, onPicture, type Size } from "./view";

/** What a coach does to drawings, as functions from drawings to drawings. Twin of the limits in api/domain/drawings.py. */

export const MOST_ON_A_STILL = 12;
export const LONGEST_LABEL = 40;
export const SHORTEST_PX = 4;
/** Of a free line. */
export const MOST_PLACES = 64;

export const SHAPE_WORDS: Record<Shape, string> = { line: "Line", free: "Free line", arrow: "Arrow", circle: "Circle", label: "Label" };
export const STROKE_WORDS: Record<Stroke, string> = { full: "Full", broken: "Broken" };

export const onStill = (drawings: readonly Drawing[], clipId: string, frame: number): Drawing[] =>
  drawings.filter((one) => one.clip_id === clipId && one.frame === frame);

/** A name for each drawing of a still: "Arrow 1", "Arrow 2", "Circle 1". */
export function namesOf(drawings: readonly Drawing[]): Record<string, string> {
  const counts: Partial<Record<Shape, number>> = {};
  return Object.fromEntries(
    drawings.map((one) => {
      counts[one.shape] = (counts[one.shape] ?? 0) + 1;
      return [one.id, `${SHAPE_WORDS[one.shape]} ${counts[one.shape]}`];
    }),
  );
}

/** Whether there is something to see: places apart, or a label with words. */
export function isWhole({ shape, places, label }: Pick<Drawing, "shape" | "places" | "label">): boolean {
  if (shape === "label") return label.trim() !== "" && places.length === 1;
  const [one, ...more] = places;
  return one !== undefined && more.some((other) => Math.hypot(other[0] - one[0], other[1] - one[1]) >= SHORTEST_PX);
}

type Handle = "start" | "end" | "whole";

/** A free line whose ends are nearer than this is a ring. */
const RING_PX = 12;

/** What a hand can take of a drawing. A circle is moved by its centre and widened by its rim. */
export function handlesOf({ shape, places }: Pick<Drawing, "shape" | "places">): Record<string, Xy> {
  const [one, other] = places;
  if (one === undefined) return {};
  if (other === undefined) return { whole: one };
  if (shape === "circle") return { whole: one, end: other };
  if (shape === "free") {
    const end = places.at(-1) ?? other;
    const whole = places[Math.floor(places.length / 2)] ?? other;
    // A ring has no ends to be pulled apart.
    return Math.hypot(end[0] - one[0], end[1] - one[1]) < RING_PX ? { whole } : { start: one, whole, end };
  }
  return { start: one, whole: [(one[0] + other[0]) / 2, (one[1] + other[1]) / 2], end: other };
}

const HANDLE_WORDS: Record<Shape, Record<Handle, string>> = {
  line: { start: "one end", end: "other end", whole: "all of it" },
  free: { start: "beginning", end: "end", whole: "all of it" },
  arrow: { start: "tail", end: "tip", whole: "all of it" },
  circle: { start: "centre", end: "rim", whole: "centre" },
  label: { start: "place", end: "place", whole: "place" },
};

export const handleWords = (name: string, shape: Shape, handle: string): string => `${name}, ${HANDLE_WORDS[shape][handle as Handle]}`;

/** A drawing with one of its handles brought to `at`; all of it stays on the picture. */
export function withHandle(drawing: Drawing, handle: string, at: Xy, picture: Size): Drawing {
  const [one, other] = drawing.places;
  if (drawing.shape === "free" && handle !== "whole") return pulled(drawing, handle, onPicture(at, picture), picture);
  if (handle !== "whole") {
    const moved = onPicture(at, picture);
    const places: Xy[] = handle === "start" && other ? [moved, other] : one ? [one, moved] : [moved];
    const next = { ...drawing, places };
    // Ends that meet would leave nothing to see, and nothing to take hold of.
    return isWhole(next) ? next : drawing;
  }
  const from = handlesOf(drawing)["whole"];
  if (from === undefined) return drawing;
  const by = [0, 1].map((axis) => {
    const most = (axis === 0 ? picture.width : picture.height) - 1;
    const along = drawing.places.map((place) => place[axis] ?? 0);
    const wanted = (at[axis] ?? 0) - (from[axis] ?? 0);
    return Math.min(most - Math.max(...along), Math.max(-Math.min(...along), wanted));
  });
  return { ...drawing, places: drawing.places.map((place): Xy => onPicture([place[0] + (by[0] ?? 0), place[1] + (by[1] ?? 0)], picture)) };
}

/**
 * A free line with one end brought to `at`: all of it turns and stretches about the other end, so that it keeps its form. Where it
 * would leave the picture, or come to nothing, it stays as it was.
 */
function pulled(drawing: Drawing, handle: string, at: Xy, picture: Size): Drawing {
  const [first, last] = [drawing.places[0], drawing.places.at(-1)];
  if (first === undefined || last === undefined) return drawing;
  const [fixed, end] = handle === "start" ? [last, first] : [first, last];
  const [ax, ay, bx, by] = [end[0] - fixed[0], end[1] - fixed[1], at[0] - fixed[0], at[1] - fixed[1]];
  const square = ax * ax + ay * ay;
  if (square === 0) return drawing;
  // Turning and stretching is one multiplication of complex numbers: by the new end over the old one.
  const [cos, sin] = [(ax * bx + ay * by) / square, (ax * by - ay * bx) / square];
  const places = drawing.places.map(([x, y]): Xy => {
    const [dx, dy] = [x - fixed[0], y - fixed[1]];
    return [fixed[0] + dx * cos - dy * sin, fixed[1] + dx * sin + dy * cos];
  });
  const inside = places.every(([x, y]) => x > -0.5 && y > -0.5 && x < picture.width - 0.5 && y < picture.height - 0.5);
  const next = { ...drawing, places: places.map((place) => onPicture(place, picture)) };
  return inside && isWhole(next) ? next : drawing;
}

/** Of places in a row those that a line through fewer would miss by more than `within` (Douglas and Peucker 1973). */
function thin(places: readonly Xy[], within: number): Xy[] {
  const kept = new Set([0, places.length - 1]);
  const stretches: [number, number][] = [[0, places.length - 1]];
  for (let stretch = stretches.pop(); stretch !== undefined; stretch = stretches.pop()) {
    const [from, to] = stretch;
    let far = within;
    let at = -1;
    for (let index = from + 1; index < to; index += 1) {
      const off = distanceToLine(places[index] as Xy, places[from] as Xy, places[to] as Xy);
      if (off > far) [far, at] = [off, index];
    }
    if (at < 0) continue;
    kept.add(at);
    stretches.push([from, at], [at, to]);
  }
  return places.filter((_, index) => kept.has(index));
}

/** What a hand drew in at most `most` places, as near to it as those allow; `within` at best, pixels of the picture. */
export function thinned(places: readonly Xy[], within: number, most = MOST_PLACES): Xy[] {
  let found = thin(places, within);
  for (let coarser = within * 1.4; found.length > most; coarser *= 1.4) found = thin(places, coarser);
  return found;
}

export const replaced = (drawings: readonly Drawing[], one: Drawing): Drawing[] => drawings.map((other) => (other.id === one.id ? one : other));
export const without = (drawings: readonly Drawing[], id: string): Drawing[] => drawings.filter((one) => one.id !== id);

/** How far a place lies from a drawing's stroke, pixels of the picture. */
function distanceTo({ shape, places }: Drawing, at: Xy): number {
  const [one, other] = places;
  if (one === undefined) return Infinity;
  if (other === undefined) return Math.hypot(at[0] - one[0], at[1] - one[1]);
  if (shape === "circle") return Math.abs(Math.hypot(at[0] - one[0], at[1] - one[1]) - radius(places));
  return Math.min(...places.slice(1).map((end, index) => distanceToLine(at, places[index] ?? one, end)));
}

/** The drawing whose stroke lies nearest to `at`, within `reach`; null when none does. */
export function drawingAt(drawings: readonly Drawing[], at: Xy, reach: number): Drawing | null {
  let best: Drawing | null = null;
  let distance = reach;
  for (const one of drawings) {
    const here = distanceTo(one, at);
    if (here <= distance) {
      best = one;
      distance = here;
    }
  }
  return best;
}

/** A frame that was drawn on and that its instant has left. */
export interface LeftFrame {
  frame: number;
  keyframe: string;
  /** Where the instant stands now; null when it stands nowhere. */
  now: number | null;
  drawings: number;
}

export function leftFrames(drawings: readonly Drawing[], clipId: string, swing: number, keyframes: readonly KeyframeNow[]): LeftFrame[] {
  const here = drawings.filter((one) => one.clip_id === clipId && one.swing === swing);
  const stands = (frame: number): boolean => keyframes.some((item) => item.frame === frame);
  const frames = [...new Set(here.map((one) => one.frame))].filter((frame) => !stands(frame));
  return frames.flatMap((frame): LeftFrame[] => {
    const on = here.filter((one) => one.frame === frame);
    const keyframe = on[0]?.keyframe;
    return keyframe === undefined ? [] : [{ frame, keyframe, now: keyframes.find((item) => item.id === keyframe)?.frame ?? null, drawings: on.length }];
  });
}
