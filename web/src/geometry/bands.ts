/** Target bands. Twin of api/domain/bands.py. */

/** `no_target` where nothing is asked of the number. */
export type Band = "good" | "watch" | "outside" | "too_close" | "no_target";

/** Limits in rising order, in the checkpoint's unit. A limit belongs to the better band. */
export interface Bands {
  readonly watchLow: number;
  readonly goodLow: number;
  readonly goodHigh: number;
  readonly watchHigh: number;
}

const BAND_OF_REGION: readonly Band[] = ["outside", "watch", "good", "watch", "outside"];

/** 0 below watch, 1 lower watch, 2 good, 3 upper watch, 4 above watch. */
export function region(value: number, bands: Bands): number {
  if (value < bands.watchLow) return 0;
  if (value < bands.goodLow) return 1;
  if (value <= bands.goodHigh) return 2;
  return value <= bands.watchHigh ? 3 : 4;
}

/**
 * The band of a 95 % interval. `too_close` when it straddles a limit, or when its half-width
 * exceeds the whole good band: such a reading cannot place the swing.
 */
export function bandOf(low: number, high: number, bands: Bands): Band {
  const lowest = region(low, bands);
  const wide = (high - low) / 2 > bands.goodHigh - bands.goodLow;
  if (lowest !== region(high, bands) || wide) return "too_close";
  return BAND_OF_REGION[lowest] ?? "too_close";
}
