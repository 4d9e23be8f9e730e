/** The pause between two sets, by the clock on the wall: a phone that sleeps in between loses nothing. */

export const RESTS_S = [30, 60, 90] as const;
const KEY = "fairlead-rest-s";

/** What the student rested last, seconds. */
export function usualRest(): number {
  try {
    const kept = Number(localStorage.getItem(KEY));
    return (RESTS_S as readonly number[]).includes(kept) ? kept : 60;
  } catch {
    return 60; // storage is off
  }
}

export function keepRest(seconds: number): void {
  try {
    localStorage.setItem(KEY, String(seconds));
  } catch {
    // Storage is off: the next rest begins with a minute again.
  }
}

/** Whole seconds left, 0 once it is over. */
export const left = (endsAt: number, now: number): number => Math.max(0, Math.ceil((endsAt - now) / 1000));

/** "1:05" */
export const clock = (seconds: number): string => `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
