import type { DraftWords } from "../../api/types";

/** What a coach wrote and the server has not confirmed, kept in this browser against a dead battery. */
export interface Kept extends DraftWords {
  at: string;
}

const NOTHING_MORE = { later: [], judgements: [], by_eye: [], drawings: [] };

const nameOf = (reviewId: string): string => `fairlead-answer-${reviewId}`;

export function keep(reviewId: string, kept: Kept): void {
  try {
    localStorage.setItem(nameOf(reviewId), JSON.stringify(kept));
  } catch {
    // No room or not allowed: the server's copy is then the only one, as the status line says.
  }
}

export function kept(reviewId: string): Kept | null {
  try {
    const stored = localStorage.getItem(nameOf(reviewId));
    // A page from before there were later things, judgements, ticks by eye and drawings kept none.
    return stored === null ? null : { ...NOTHING_MORE, ...(JSON.parse(stored) as Partial<Kept> & Pick<Kept, "text" | "drills" | "at">) };
  } catch {
    return null;
  }
}

export function letGo(reviewId: string): void {
  try {
    localStorage.removeItem(nameOf(reviewId));
  } catch {
    // Nothing was kept then.
  }
}
