import type { Checkpoint } from "../api/types";

/** Where values of a checkpoint fall on a bar of width 1. */
export interface Scale {
  low: number;
  high: number;
  /** Share of the bar, 0 to 1; values beyond the bar stick to its end. */
  at: (value: number) => number;
}

/**
 * The watch limits with a quarter of their span on both sides, so that "outside" has room, and
 * stretched to hold the reading's whole interval: a value drawn at the end would look like that value.
 */
export function scaleOf(bands: NonNullable<Checkpoint["bands"]>, reading: { low: number | null; high: number | null }): Scale {
  const room = (bands.watch_high - bands.watch_low) / 4;
  const low = Math.min(bands.watch_low - room, reading.low ?? Infinity);
  const high = Math.max(bands.watch_high + room, reading.high ?? -Infinity);
  return { low, high, at: (value) => Math.min(1, Math.max(0, (value - low) / (high - low))) };
}
