import type { Reading } from "../api/types";
import { ownLanguage, together, written } from "../words/language.svelte";

/** What began to move when at the start of a swing, as a reading of `start_order` keeps it (`api/domain/onsets.py`). */

const OTHERS = ["pelvis", "chest", "wrists"] as const;
/** Sigmas in half of a 95 % interval. */
const HALF_WIDTH = 1.96;

/** "Against the start of the hands: pelvis 0.15 s before (± 0.06), chest together (± 0.05), wrists not seen." Else "". */
export function onsetsWords({ checkpoint, inputs }: Pick<Reading, "checkpoint" | "inputs">, language = ownLanguage()): string {
  const hands = inputs["hands_s"];
  if (checkpoint !== "start_order" || hands === undefined) return "";
  const told = OTHERS.map((name) => {
    const at = inputs[`${name}_s`];
    if (at === undefined) return `${name} not seen`;
    const doubt = HALF_WIDTH * Math.hypot(inputs[`sigma_${name}_s`] ?? 0, inputs["sigma_hands_s"] ?? 0);
    return `${name} ${apart(at - hands, doubt, language)} (± ${figure(doubt, language)})`;
  });
  return `Against the start of the hands: ${told.join(", ")}.`;
}

/** Nothing is called first or last that may as well be the other. */
function apart(after: number, doubt: number, language: string): string {
  if (Math.abs(after) <= doubt) return "together";
  return `${figure(Math.abs(after), language)} s ${after < 0 ? "before" : "after"}`;
}

const figure = (seconds: number, language: string): string => together(written(seconds, { digits: 2 }, language), language);
