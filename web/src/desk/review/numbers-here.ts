import { linesOver, type Line } from "../../answer/lines";
import type { Xy } from "../../api/types";
import { pointsNow } from "./live";
import { rowKey, type Row } from "./rows";
import { distanceToLine } from "./view";

/**
 * All numbers of the frame on show: one is in hand, its lines strong and its points to be moved; the others lie quietly around it
 * and are a press away.
 */

/** The numbers read on the frame on show from points, in the order of the list. */
export const readHere = (rows: readonly Row[]): Row[] => rows.filter((row) => row.here && row.checkpoint.points.length > 0);

/** The number before or after the one in hand, round and round; the first or last where none is in hand. */
export function nextHere(here: readonly Row[], inHand: Row | undefined, by: 1 | -1): Row | undefined {
  if (here.length === 0) return undefined;
  const at = inHand === undefined ? -1 : here.findIndex((row) => rowKey(row) === rowKey(inHand));
  if (at < 0) return by > 0 ? here[0] : here.at(-1);
  return here[(at + by + here.length) % here.length];
}

export interface QuietPoint {
  at: Xy;
  /** The numbers read from it, none of them in hand. */
  rows: Row[];
}

/** Points of the other numbers that the one in hand has not, by name. */
export function quietPoints(here: readonly Row[], inHand: Row | undefined): Record<string, QuietPoint> {
  const held = new Set<string>(inHand?.checkpoint.points);
  const found: Record<string, QuietPoint> = {};
  for (const row of here) {
    if (inHand !== undefined && rowKey(row) === rowKey(inHand)) continue;
    for (const [name, at] of Object.entries(pointsNow(row.reading, row.moving))) {
      if (held.has(name)) continue;
      (found[name] ??= { at, rows: [] }).rows.push(row);
    }
  }
  return found;
}

export interface QuietLine extends Line {
  row: Row;
}

const shiftOf = (row: Row): number => row.reading.inputs["ground_row_shift_px"] ?? 0;
const keyOf = ({ from, to }: Line): string => [from, to].map((at) => at.map(Math.round).join()).sort().join(" ");

/** The lines of each of the other numbers by itself, none twice and none that the one in hand draws. */
export function quietLines(here: readonly Row[], inHand: Row | undefined): QuietLine[] {
  const drawn = new Set(inHand === undefined ? [] : linesOver(pointsNow(inHand.reading, inHand.moving), shiftOf(inHand)).map(keyOf));
  return here.flatMap((row) => {
    if (inHand !== undefined && rowKey(row) === rowKey(inHand)) return [];
    return linesOver(pointsNow(row.reading, row.moving), shiftOf(row)).flatMap((line): QuietLine[] => {
      const key = keyOf(line);
      if (drawn.has(key)) return [];
      drawn.add(key);
      return [{ ...line, row }];
    });
  });
}

/** The quiet line nearest to a tap, within `reach`; undefined when none is. */
export function lineAt(lines: readonly QuietLine[], at: Xy, reach: number): QuietLine | undefined {
  const near = lines.map((line) => ({ line, far: distanceToLine(at, line.from, line.to) })).filter(({ far }) => far <= reach);
  return near.sort((one, other) => one.far - other.far)[0]?.line;
}

/**
 * Where a number's lines meet, which is where its angle is: the nearest two ends of different lines; the middle of an only line, or of
 * points without lines. Null without points.
 */
export function vertexOf(points: Readonly<Record<string, Xy>>, rowShift: number): Xy | null {
  const lines = linesOver(points, rowShift).filter((line) => line.kind !== "ground");
  const ends = lines.flatMap((line, index) => [line.from, line.to].map((at) => ({ at, index })));
  let best: Xy | null = null;
  let distance = Infinity;
  for (const one of ends) {
    for (const other of ends) {
      if (one.index >= other.index) continue;
      const apart = Math.hypot(one.at[0] - other.at[0], one.at[1] - other.at[1]);
      if (apart >= distance) continue;
      best = between(one.at, other.at);
      distance = apart;
    }
  }
  if (best !== null) return best;
  const all = lines[0] === undefined ? Object.values(points) : [lines[0].from, lines[0].to];
  if (all.length === 0) return null;
  return [mean(all.map((at) => at[0])), mean(all.map((at) => at[1]))];
}

const between = (one: Xy, other: Xy): Xy => [(one[0] + other[0]) / 2, (one[1] + other[1]) / 2];
const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;
