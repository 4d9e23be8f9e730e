import type { Hand, Purpose, View } from "../api/types";

/**
 * A new clip's form that was begun and left, to read what to film or by a reload: the words and choices for this tab, the
 * chosen files as long as its page. Takes filmed here have their own place.
 */

export interface Words {
  clubId: string;
  purpose: Purpose;
  withBall: boolean;
  handed: Hand;
  note: string;
}

export interface Files {
  chosen: Partial<Record<View, File>>;
  /** Which takes filmed here they are. */
  takes: Partial<Record<View, string>>;
}

const files = new Map<string, Files>();
const keyOf = (whose: string): string => `fairlead-new-clip-${whose}`;

/** What `whose` form held; only what is there is taken over. */
export function begun(whose: string): Partial<Words> {
  try {
    const kept: unknown = JSON.parse(sessionStorage.getItem(keyOf(whose)) ?? "{}");
    return typeof kept === "object" && kept !== null ? (kept as Partial<Words>) : {};
  } catch {
    return {}; // storage is off, or somebody else's words are in it
  }
}

export function keepWords(whose: string, words: Words): void {
  try {
    sessionStorage.setItem(keyOf(whose), JSON.stringify(words));
  } catch {
    // Storage is off: the form lives as long as it is open.
  }
}

export const begunFiles = (whose: string): Files => files.get(whose) ?? { chosen: {}, takes: {} };

export const keepFiles = (whose: string, held: Files): void => void files.set(whose, held);

/** It was sent. */
export function forgetBegun(whose: string): void {
  files.delete(whose);
  try {
    sessionStorage.removeItem(keyOf(whose));
  } catch {
    // Storage is off: nothing was kept.
  }
}
