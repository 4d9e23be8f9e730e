import { together, written } from "../../words/language.svelte";

/** How long the rest of an upload takes, from what has really arrived lately. */

/** At a moment, in milliseconds, so many bytes of the entry had arrived. */
export interface Arrival {
  ms: number;
  bytes: number;
}

/** Only so much of the past counts: a signal at the range changes. */
const WINDOW_MS = 30_000;
/** Nothing is told from less: the first parts are small, and one may be quick by chance. */
const LEAST_MS = 3_000;
const LEAST_PARTS = 2;

/** The arrivals with one more; what is older than the window goes, all but the last two spans. */
export function withArrival(arrivals: readonly Arrival[], now: Arrival): Arrival[] {
  const all = [...arrivals, now];
  const first = all.findIndex((one, at) => one.ms >= now.ms - WINDOW_MS || at >= all.length - 1 - LEAST_PARTS);
  return all.slice(first);
}

/**
 * Seconds until `left` bytes have arrived, or null while that cannot be told. Parts arrive one by one; where the next one
 * is overdue, twice as long as they took so far, the wait counts as well, and the time grows with it.
 */
export function secondsLeft(arrivals: readonly Arrival[], left: number, nowMs: number): number | null {
  const first = arrivals[0];
  const last = arrivals.at(-1);
  if (first === undefined || last === undefined || arrivals.length - 1 < LEAST_PARTS) return null;
  const took = last.ms - first.ms;
  const bytes = last.bytes - first.bytes;
  if (took < LEAST_MS || bytes <= 0) return null;
  const overdue = nowMs - last.ms > (2 * took) / (arrivals.length - 1);
  return (left * (overdue ? nowMs - first.ms : took)) / bytes / 1000;
}

/** "About 4 min left at this pace." Minutes are rounded up: who waits is rather done early. */
export function leftWords(seconds: number | null): string {
  if (seconds === null) return "";
  const count = (value: number): string => together(written(value, { digits: 0 }));
  const minutes = Math.ceil(seconds / 60);
  if (minutes <= 1) return "Less than a minute left.";
  if (minutes < 60) return `About ${count(minutes)} min left at this pace.`;
  const hours = Math.ceil(minutes / 60);
  return hours > 24 ? "More than a day left at this pace: the signal is very weak." : `Up to ${count(hours)} h left at this pace.`;
}
