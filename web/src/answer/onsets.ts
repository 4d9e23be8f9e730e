import type { Reading } from "../api/types";

/** What began to move when at the start of a swing, as a reading of `start_order` keeps it (`api/domain/onsets.py`). */

const OTHERS = ["pelvis", "chest", "wrists"] as const;
/** Sigmas in half of a 95 % interval. */
const HALF_WIDTH = 1.96;

/** "Against the start of the hands: pelvis 0.15 s before (± 0.06), chest together (± 0.05), wrists not seen." Else "". */
export function onsetsWords({ checkpoint, inputs }: Pick<Reading, "checkpoint" | "inputs">): string {
  const hands = inputs["hands_s"];
  if (checkpoint !== "start_order" || hands === undefined) return "";
  const told = OTHERS.map((name) => {
    const at = inputs[`${name}_s`];
    if (at === undefined) return `${name} not seen`;
    const doubt = HALF_WIDTH * Math.hypot(inputs[`sigma_${name}_s`] ?? 0, inputs["sigma_hands_s"] ?? 0);
    return `${name} ${apart(at - hands, doubt)} (± ${doubt.toFixed(2)})`;
  });
  return `Against the start of the hands: ${told.join(", ")}.`;
}

/** Nothing is called first or last that may as well be the other. */
function apart(after: number, doubt: number): string {
  if (Math.abs(after) <= doubt) return "together";
  return `${Math.abs(after).toFixed(2)} s ${after < 0 ? "before" : "after"}`;
}
