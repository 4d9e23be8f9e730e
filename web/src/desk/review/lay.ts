import type { Xy } from "../../api/types";
import type { Tracked } from "./live";
import type { Size } from "./view";

/** How one clip's golfer is laid over another's: where the ankles are, and how long a leg is, in pixels. */
export interface Body {
  ankles: Xy;
  leg: number;
}

/** Where the other picture goes on this one, in this one's pixels. */
export interface Laid {
  left: number;
  top: number;
  scale: number;
}

type Frames = Readonly<Record<number, Readonly<Record<string, Tracked>>>>;

const SHORTEST_LEG_PX = 20;
const LOOKED_AT = 15;

/**
 * The body near a frame (address: nobody stands straighter): the middle one of what the frames around it say,
 * since on any single frame a hip may be hidden. Null where hips and ankles were not seen.
 */
export function bodyNear(frames: Frames, frame: number): Body | null {
  const near = Object.keys(frames)
    .map(Number)
    .sort((one, other) => Math.abs(one - frame) - Math.abs(other - frame));
  const seen = near.map((at) => bodyOn(frames[at] ?? {})).filter((body) => body !== null).slice(0, LOOKED_AT);
  if (seen.length === 0) return null;
  const middle = (pick: (body: Body) => number): number => median(seen.map(pick));
  return { ankles: [middle((body) => body.ankles[0]), middle((body) => body.ankles[1])], leg: middle((body) => body.leg) };
}

function bodyOn(points: Readonly<Record<string, Tracked>>): Body | null {
  const ankles = halfway(points["lead_ankle"], points["trail_ankle"]);
  const hips = halfway(points["lead_hip"], points["trail_hip"]);
  if (ankles === null || hips === null) return null;
  const leg = Math.hypot(hips[0] - ankles[0], hips[1] - ankles[1]);
  return leg < SHORTEST_LEG_PX ? null : { ankles, leg };
}

/** Ankles on ankles, legs as long as each other. */
export const layOver = (mine: Body, theirs: Body): Laid => {
  const scale = mine.leg / theirs.leg;
  return { left: mine.ankles[0] - theirs.ankles[0] * scale, top: mine.ankles[1] - theirs.ankles[1] * scale, scale };
};

/** The same as shares of this picture, for a box in percent. */
export const boxOf = (laid: Laid, theirs: Size, mine: Size): { left: number; top: number; width: number; height: number } => ({
  left: (100 * laid.left) / mine.width,
  top: (100 * laid.top) / mine.height,
  width: (100 * theirs.width * laid.scale) / mine.width,
  height: (100 * theirs.height * laid.scale) / mine.height,
});

const halfway = (one: Tracked | undefined, other: Tracked | undefined): Xy | null =>
  one && other ? [(one[0] + other[0]) / 2, (one[1] + other[1]) / 2] : null;

function median(values: readonly number[]): number {
  const sorted = [...values].sort((one, other) => one - other);
  const half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? (sorted[half] ?? 0) : ((sorted[half - 1] ?? 0) + (sorted[half] ?? 0)) / 2;
}
