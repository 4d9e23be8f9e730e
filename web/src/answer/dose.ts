import type { DrillDose } from "../api/types";

/** "3 sets of 8, 2 s pause, 4 days a week, without a ball, from 1 December, until 9 December". */
export function doseWords(dose: DrillDose): string {
  const parts = [`${dose.sets} ${dose.sets === 1 ? "set" : "sets"} of ${dose.reps}`];
  if (dose.pause_s) parts.push(`${dose.pause_s} s pause`);
  parts.push(dose.days_per_week === 7 ? "every day" : `${dose.days_per_week} ${dose.days_per_week === 1 ? "day" : "days"} a week`);
  if (dose.ball !== null) parts.push(dose.ball ? "with a ball" : "without a ball");
  if (dose.start) parts.push(`from ${day(dose.start)}`);
  if (dose.until) parts.push(`until ${day(dose.until)}`);
  return parts.join(", ");
}

function day(isoDate: string): string {
  // A calendar date belongs to no time zone; noon keeps it the same day everywhere.
  return new Date(`${isoDate}T12:00:00Z`).toLocaleDateString("en-GB", { day: "numeric", month: "long", timeZone: "UTC" });
}
