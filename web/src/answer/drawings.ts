import type { Drawing, Xy } from "../api/types";

/** Drawings on a still, as both sides show them. Places are pixels of the picture. */

export interface Size {
  width: number;
  height: number;
}

const BARB_RAD = Math.PI / 7;

/** The two barbs' ends of an arrow from `from` to `tip`; shorter on a short arrow. */
export function barbs(from: Xy, tip: Xy, length: number): [Xy, Xy] {
  const back = Math.atan2(from[1] - tip[1], from[0] - tip[0]);
  const reach = Math.min(length, Math.hypot(from[0] - tip[0], from[1] - tip[1]) * 0.6);
  const end = (turn: number): Xy => [tip[0] + reach * Math.cos(back + turn), tip[1] + reach * Math.sin(back + turn)];
  return [end(BARB_RAD), end(-BARB_RAD)];
}

/**
 * A path through all places that bends nowhere sharply: a Catmull-Rom spline, in cubic Bezier pieces. Twin of `smooth` in
 * api/sheet/overlay.py.
 */
export function smoothPath(places: readonly Xy[]): string {
  const [first] = places;
  if (first === undefined) return "";
  const two = ([x, y]: Xy): string => `${x.toFixed(2)} ${y.toFixed(2)}`;
  const at = (index: number): Xy => places[Math.max(0, Math.min(places.length - 1, index))] ?? first;
  let path = `M${two(first)}`;
  for (let index = 0; index < places.length - 1; index += 1) {
    const [before, start, end, after] = [at(index - 1), at(index), at(index + 1), at(index + 2)];
    const leaves: Xy = [start[0] + (end[0] - before[0]) / 6, start[1] + (end[1] - before[1]) / 6];
    const comes: Xy = [end[0] - (after[0] - start[0]) / 6, end[1] - (after[1] - start[1]) / 6];
    path += `C${two(leaves)} ${two(comes)} ${two(end)}`;
  }
  return path;
}

export const radius = ([centre, rim]: readonly Xy[]): number =>
  centre && rim ? Math.hypot(rim[0] - centre[0], rim[1] - centre[1]) : 0;

const LINE_LETTERS = 18;

/** A label in lines that a narrow picture has room for; a word longer than a line is cut. */
export function wrapped(label: string): string[] {
  const lines: string[] = [];
  for (const word of label.split(/\s+/).flatMap(cut)) {
    const last = lines.at(-1);
    if (last !== undefined && last.length + 1 + word.length <= LINE_LETTERS) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines.filter((line) => line !== "");
}

function cut(word: string): string[] {
  const letters = Array.from(word);
  const pieces: string[] = [];
  for (let at = 0; at < letters.length; at += LINE_LETTERS) pieces.push(letters.slice(at, at + LINE_LETTERS).join(""));
  return pieces;
}

/** How large a label is written: a fortieth of the picture's longer side, and never too small for the screen. */
export const letterPx = ({ width, height }: Size, unit: number): number => Math.max(Math.max(width, height) / 40, 12 * unit);

const PLACES = [
  ["top left", "top", "top right"],
  ["left", "middle", "right"],
  ["bottom left", "bottom", "bottom right"],
] as const;
const WAYS = ["right", "down and right", "down", "down and left", "left", "up and left", "up", "up and right"] as const;

function placeWords([x, y]: Xy, { width, height }: Size): string {
  const third = (value: number, whole: number): number => Math.min(2, Math.max(0, Math.floor((3 * value) / whole)));
  return PLACES[third(y, height)]?.[third(x, width)] ?? "middle";
}

const wayWords = (from: Xy, to: Xy): string =>
  WAYS[(Math.round(Math.atan2(to[1] - from[1], to[0] - from[0]) / (Math.PI / 4)) + 8) % 8] ?? "right";

/** What is drawn, for who cannot see it: "an arrow pointing up, its tip at the top left". */
export function drawingWords({ shape, places, label }: Pick<Drawing, "shape" | "places" | "label">, size: Size): string {
  const [one, other] = places;
  if (one === undefined) return "";
  const at = placeWords(one, size);
  if (shape === "label" || other === undefined) return `the words “${label}” at the ${at}`;
  if (shape === "circle") return `a circle round a place at the ${at}`;
  if (shape === "free") {
    const end = placeWords(places.at(-1) ?? other, size);
    return at === end ? `a free line at the ${at}` : `a free line from the ${at} to the ${end}`;
  }
  const there = placeWords(other, size);
  if (shape === "arrow") return `an arrow pointing ${wayWords(one, other)}, its tip at the ${there}`;
  return at === there ? `a line at the ${at}` : `a line from the ${at} to the ${there}`;
}

export const drawnWords = (drawings: readonly Drawing[], size: Size): string =>
  drawings.length === 0 ? "" : ` Your coach drew on it: ${drawings.map((one) => drawingWords(one, size)).join("; ")}.`;
