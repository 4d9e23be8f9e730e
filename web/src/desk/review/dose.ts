import type { Drill, DrillChoice, FindingCode } from "../../api/types";

const DAY_MS = 86_400_000;
/** More is a list to read, and no suggestion. */
const MOST_SUGGESTED = 3;

/** A drill with the library's own dose, until a date that many weeks from today. */
export function firstDose(drill: Drill, today: Date = new Date()): DrillChoice {
  const { sets, reps, pause_s, days_per_week, weeks } = drill.dose;
  const until = new Date(today.getTime() + weeks * 7 * DAY_MS).toISOString().slice(0, 10);
  return { drill_id: drill.id, sets, reps, pause_s, days_per_week, until, note: "", start: null, ball: null, proof: true };
}

/** Drills that serve the findings, those for most of them first; with the findings' names. */
export function suggested(
  drills: readonly Drill[],
  findings: readonly FindingCode[],
  nameOf: (code: FindingCode) => string,
): { drill: Drill; names: string[] }[] {
  return drills
    .map((drill) => ({ drill, names: findings.filter((code) => drill.serves.includes(code)).map(nameOf) }))
    .filter((one) => one.names.length > 0)
    .sort((one, other) => other.names.length - one.names.length)
    .slice(0, MOST_SUGGESTED);
}
