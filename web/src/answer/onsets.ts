import type { Reading } from "../api/types";
import { halfWidth } from "../geometry";
import { ownLanguage, together, written } from "../words/language.svelte";

/** What began to move when at the start of a swing, as a reading of `start_order` keeps it (`api/domain/onsets.py`). */

const OTHERS = ["pelvis", "chest", "wrists"] as const;

export interface OnsetTold {
  name: (typeof OTHERS)[number];
  /** Seconds after the hands, and half of its 95 % interval; null where it was not seen. */
  seen: { after: number; doubt: number } | null;
}

/** Each of the others against the hands; null where there is nothing to tell. */
export function onsetsOf({ checkpoint, inputs }: Pick<Reading, "checkpoint" | "inputs">): OnsetTold[] | null {
  const hands = inputs["hands_s"];
  if (checkpoint !== "start_order" || hands === undefined) return null;
  return OTHERS.map((name) => {
    const at = inputs[`${name}_s`];
    const sigma = Math.hypot(inputs[`sigma_${name}_s`] ?? 0, inputs["sigma_hands_s"] ?? 0);
    return { name, seen: at === undefined ? null : { after: at - hands, doubt: halfWidth(sigma) } };
  });
}

/** Nothing is called first or last that may as well be the other. */
export const apart = (after: number, doubt: number): "before" | "after" | "together" =>
  Math.abs(after) <= doubt ? "together" : after < 0 ? "before" : "after";

/** "Against the start of the hands: pelvis 0.15 s before (± 0.06), chest together (± 0.05), wrists not seen." Else "". */
export function onsetsWords(reading: Pick<Reading, "checkpoint" | "inputs">, language = ownLanguage()): string {
  const told = onsetsOf(reading)?.map(({ name, seen }) => {
    if (seen === null) return `${name} not seen`;
    const side = apart(seen.after, seen.doubt);
    const far = side === "together" ? "" : `${figure(Math.abs(seen.after), language)} s `;
    return `${name} ${far}${side} (± ${figure(seen.doubt, language)})`;
  });
  return told === undefined ? "" : `Against the start of the hands: ${told.join(", ")}.`;
}

const figure = (seconds: number, language: string): string => together(written(seconds, { digits: 2 }, language), language);
