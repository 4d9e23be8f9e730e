import type { Drill, DrillChoice } from "../../api/types";

const DAY_MS = 86_400_000;

/** A drill with the library's own dose, until a date that many weeks from today. */
export function firstDose(drill: Drill, today: Date = new Date()): DrillChoice {
  const { sets, reps, pause_s, days_per_week, weeks } = drill.dose;
  const until = new Date(today.getTime() + weeks * 7 * DAY_MS).toISOString().slice(0, 10);
  return { drill_id: drill.id, sets, reps, pause_s, days_per_week, until, note: "" };
}
