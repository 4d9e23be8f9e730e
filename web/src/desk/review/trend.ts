import type { TrendPoint } from "../../api/types";

/** A number over a student's clips, as a small drawing: values with their doubt over the target. */

export interface Spot {
  x: number;
  y: number;
  top: number;
  bottom: number;
  point: TrendPoint;
}

export interface Drawn {
  spots: Spot[];
  /** The good band, from top to bottom; null without a target. */
  good: { top: number; bottom: number } | null;
}

/** Share of the drawing left free at either end. */
const ROOM = 0.08;

export function drawn(
  points: readonly TrendPoint[],
  bands: { good_low: number; good_high: number } | null,
  width: number,
  height: number,
): Drawn {
  const all = points.flatMap((one) => [one.low, one.high]).concat(bands ? [bands.good_low, bands.good_high] : []);
  const [least, most] = [Math.min(...all), Math.max(...all)];
  const span = Math.max(most - least, 1e-9);
  const y = (value: number): number => height * (ROOM + (1 - 2 * ROOM) * (1 - (value - least) / span));
  const step = points.length > 1 ? (width * (1 - 2 * ROOM)) / (points.length - 1) : 0;
  return {
    spots: points.map((point, index) => ({
      x: width * ROOM + index * step,
      y: y(point.value),
      top: y(point.high),
      bottom: y(point.low),
      point,
    })),
    good: bands && { top: y(bands.good_high), bottom: y(bands.good_low) },
  };
}

/** How far the newest value is from the one before, and what both doubts allow (95 %); null with fewer than two. */
export function difference(points: readonly TrendPoint[]): { difference: number; doubt: number } | null {
  const [before, now] = points.slice(-2);
  if (before === undefined || now === undefined) return null;
  const half = (one: TrendPoint): number => (one.high - one.low) / 2;
  return { difference: now.value - before.value, doubt: Math.hypot(half(before), half(now)) };
}

/**
 * What the newest value says against the one before: "no clear change" where the difference is within what
 * both doubts allow (95 %), else the direction.
 */
export function change(points: readonly TrendPoint[]): "up" | "down" | "no clear change" | null {
  const last = difference(points);
  if (last === null) return null;
  if (Math.abs(last.difference) <= last.doubt) return "no clear change";
  return last.difference > 0 ? "up" : "down";
}
