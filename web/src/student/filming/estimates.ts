/** Values with their spread, as the worker keeps them, and the few statistics both sides need. */

import shared from "../../filming/limits.json";

export const LIMITS = shared.limits;

/** A value and one sigma. */
export interface Estimate {
  value: number;
  sigma: number;
}

/** Whether the whole 95 % interval lies above the limit (`worker.measure.filming.surely_above`). */
export const surelyAbove = (judged: Estimate, limit: number): boolean => judged.value - LIMITS.z95 * judged.sigma > limit;

export const surelyBelow = (judged: Estimate, limit: number): boolean => judged.value + LIMITS.z95 * judged.sigma < limit;

/** Quantile by linear interpolation between the sorted values, as NumPy's. NaN for no values. */
export function quantile(values: readonly number[], share: number): number {
  const sorted = [...values].sort((one, other) => one - other);
  const at = share * (sorted.length - 1);
  const below = sorted[Math.floor(at)] ?? NaN;
  const above = sorted[Math.ceil(at)] ?? NaN;
  return below + (above - below) * (at - Math.floor(at));
}

export const median = (values: readonly number[]): number => quantile(values, 0.5);
