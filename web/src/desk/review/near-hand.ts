import type { Xy } from "../../api/types";
import type { Size } from "./view";

/** Where things go in the picture while a hand is on it, screen pixels of the pane: by what they tell of, and never under the finger. */

export interface Box {
  left: number;
  top: number;
  width: number;
  height: number;
}

/** Round the place of a touch, what a fingertip hides. */
export const FINGER_PX = 40;
const GAP_PX = 8;
/** In a narrow pane a smaller loupe still finds room beside the finger. */
const LOUPE_PX = { wide: 160, narrow: 120 } as const;
const NARROW_PANE_PX = 480;

export const loupeSide = (pane: Size): number => (pane.width < NARROW_PANE_PX ? LOUPE_PX.narrow : LOUPE_PX.wide);

const clamp = (value: number, most: number): number => Math.max(0, Math.min(most, value));

/** Above the finger; under the upper edge beside it, on the side with more room; below it only where neither side has any. */
export function loupeBox(pane: Size, at: Xy, side: number): Box {
  const far = FINGER_PX + GAP_PX;
  const box = (left: number, top: number): Box => ({ left: clamp(left, pane.width - side), top: clamp(top, pane.height - side), width: side, height: side });
  if (at[1] - far - side >= 0) return box(at[0] - side / 2, at[1] - far - side);
  const right = pane.width - at[0] >= at[0];
  const room = right ? pane.width - at[0] : at[0];
  if (room >= far + side) return box(right ? at[0] + far : at[0] - far - side, at[1] - side / 2);
  return box(at[0] - side / 2, at[1] + far);
}

const COSTS = { hidden: 400, line: 12, point: 8, handle: 60, other: 1, turned: 3 } as const;
const SAMPLES = 9;

const overlap = (one: Box, other: Box): boolean =>
  one.left < other.left + other.width && other.left < one.left + one.width && one.top < other.top + other.height && other.top < one.top + one.height;

const away = ({ left, top, width, height }: Box, [x, y]: Xy): number =>
  Math.hypot(x - Math.max(left, Math.min(x, left + width)), y - Math.max(top, Math.min(y, top + height)));

const reaches = (box: Box, handle: Xy): boolean => away(box, handle) < HANDLE_PX;

const holds = (box: Box, [x, y]: Xy): boolean => x >= box.left && x <= box.left + box.width && y >= box.top && y <= box.top + box.height;

/** What must not be covered, and what should not. */
export interface Taken {
  /** Never: the loupe, the buttons. */
  boxes: readonly Box[];
  /** Never: the finger; null when none is on the picture. */
  finger: Xy | null;
  lines: readonly { from: Xy; to: Xy }[];
  points: readonly Xy[];
  /** Never, with all of what is drawn of them: what a hand takes a point by, on the point or led away from it where points crowd. */
  handles: readonly Xy[];
}

/** How far a handle reaches from its middle, with the focus on it. */
export const HANDLE_PX = 15;

/** Right, left, below, above, and between. */
const WAYS: readonly Xy[] = [[1, 0], [-1, 0], [1, 1], [-1, 1], [1, -1], [-1, -1], [0, 1], [0, -1]];
const REACHES = [18, 56, 110] as const;

/**
 * A box of words by `at`: on the side where it covers least, near before far. `last`: the way it went before, which it keeps
 * while another is no better, so that it does not jump from side to side under a moving hand. Where every
 * place near `at` covers a point or a handle the pane's own corners are tried; `clear` is false when these cover one too, and the words are then
 * better left out.
 */
export function wordsBox(pane: Size, at: Xy, size: Size, taken: Taken, last: number | null): { box: Box; way: number; clear: boolean } {
  let best: { box: Box; way: number; cost: number } | null = null;
  for (const [ring, reach] of REACHES.entries()) {
    for (const [index, [across, down]] of WAYS.entries()) {
      const way = ring * WAYS.length + index;
      const wanted = {
        left: at[0] + across * reach - (across > 0 ? 0 : across < 0 ? size.width : size.width / 2),
        top: at[1] + down * reach - (down > 0 ? 0 : down < 0 ? size.height : size.height / 2),
      };
      const box = { left: clamp(wanted.left, pane.width - size.width), top: clamp(wanted.top, pane.height - size.height), ...size };
      const moved = Math.hypot(box.left - wanted.left, box.top - wanted.top);
      const cost = moved / 4 + ring * COSTS.turned + costOf(box, taken) + (way === last ? 0 : COSTS.other + (last === null ? 0 : COSTS.turned));
      if (best === null || cost < best.cost) best = { box, way, cost };
    }
  }
  const isClear = (box: Box): boolean => taken.points.every((one) => !holds(box, one)) && !taken.handles.some((one) => reaches(box, one));
  const near = best ?? { box: { left: 0, top: 0, ...size }, way: 0 };
  if (isClear(near.box)) return { box: near.box, way: near.way, clear: true };
  const [right, bottom] = [Math.max(0, pane.width - size.width), Math.max(0, pane.height - size.height)];
  const corners = [[0, 0], [right, 0], [0, bottom], [right, bottom]].map(([left, top]): Box => ({ left: left!, top: top!, ...size }));
  const free = corners.filter(isClear).sort((one, other) => costOf(one, taken) - costOf(other, taken))[0];
  return { box: free ?? near.box, way: near.way, clear: free !== undefined };
}

function costOf(box: Box, { boxes, finger, lines, points, handles }: Taken): number {
  let cost = boxes.filter((one) => overlap(one, box)).length * COSTS.hidden;
  if (finger !== null && away(box, finger) < FINGER_PX) cost += COSTS.hidden;
  for (const { from, to } of lines) {
    for (let sample = 0; sample < SAMPLES; sample += 1) {
      const share = sample / (SAMPLES - 1);
      if (holds(box, [from[0] + (to[0] - from[0]) * share, from[1] + (to[1] - from[1]) * share])) cost += COSTS.line / 3;
    }
  }
  cost += handles.filter((one) => reaches(box, one)).length * COSTS.handle;
  return cost + points.filter((one) => holds(box, one)).length * COSTS.point;
}
