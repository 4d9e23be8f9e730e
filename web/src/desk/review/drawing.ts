import type { Drawing, Shape, Stroke, Xy } from "../../api/types";
import { radius } from "../../answer/drawings";
import type { KeyframeNow } from "./keyframes";
import { onPicture, type Size } from "./view";

/** What a coach does to drawings, as functions from drawings to drawings. Twin of the limits in api/domain/drawings.py. */

export const MOST_ON_A_STILL = 12;
export const LONGEST_LABEL = 40;
export const SHORTEST_PX = 4;

export const SHAPE_WORDS: Record<Shape, string> = { line: "Line", arrow: "Arrow", circle: "Circle", label: "Label" };
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

/** Whether there is something to see: two places apart, or a label with words. */
export function isWhole({ shape, places, label }: Pick<Drawing, "shape" | "places" | "label">): boolean {
  if (shape === "label") return label.trim() !== "" && places.length === 1;
  const [one, other] = places;
  return one !== undefined && other !== undefined && Math.hypot(other[0] - one[0], other[1] - one[1]) >= SHORTEST_PX;
}

type Handle = "start" | "end" | "whole";

/** What a hand can take of a drawing. A circle is moved by its centre and widened by its rim. */
export function handlesOf({ shape, places }: Pick<Drawing, "shape" | "places">): Record<string, Xy> {
  const [one, other] = places;
  if (one === undefined) return {};
  if (other === undefined) return { whole: one };
  if (shape === "circle") return { whole: one, end: other };
  return { start: one, whole: [(one[0] + other[0]) / 2, (one[1] + other[1]) / 2], end: other };
}

const HANDLE_WORDS: Record<Shape, Record<Handle, string>> = {
  line: { start: "one end", end: "other end", whole: "all of it" },
  arrow: { start: "tail", end: "tip", whole: "all of it" },
  circle: { start: "centre", end: "rim", whole: "centre" },
  label: { start: "place", end: "place", whole: "place" },
};

export const handleWords = (name: string, shape: Shape, handle: string): string => `${name}, ${HANDLE_WORDS[shape][handle as Handle]}`;

/** A drawing with one of its handles brought to `at`; all of it stays on the picture. */
export function withHandle(drawing: Drawing, handle: string, at: Xy, picture: Size): Drawing {
  const [one, other] = drawing.places;
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

export const replaced = (drawings: readonly Drawing[], one: Drawing): Drawing[] => drawings.map((other) => (other.id === one.id ? one : other));
export const without = (drawings: readonly Drawing[], id: string): Drawing[] => drawings.filter((one) => one.id !== id);

/** How far a place lies from a drawing's stroke, pixels of the picture. */
function distanceTo({ shape, places }: Drawing, at: Xy): number {
  const [one, other] = places;
  if (one === undefined) return Infinity;
  if (other === undefined) return Math.hypot(at[0] - one[0], at[1] - one[1]);
  if (shape === "circle") return Math.abs(Math.hypot(at[0] - one[0], at[1] - one[1]) - radius(places));
  const [dx, dy] = [other[0] - one[0], other[1] - one[1]];
  const share = ((at[0] - one[0]) * dx + (at[1] - one[1]) * dy) / (dx * dx + dy * dy || 1);
  const along = Math.min(1, Math.max(0, share));
  return Math.hypot(at[0] - one[0] - along * dx, at[1] - one[1] - along * dy);
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
