import type { DrillDose } from "../api/types";
import { ownLanguage, together, written } from "../words/language.svelte";
import { calendarDay } from "../words/times";

/** "3 sets of 8, 2 s pause, 4 days a week, without a ball, from 1 December, until 9 December". */
export function doseWords(dose: DrillDose, language = ownLanguage()): string {
  const count = (value: number): string => together(written(value, { digits: [0, 1] }, language), language);
  const parts = [`${count(dose.sets)} ${dose.sets === 1 ? "set" : "sets"} of ${count(dose.reps)}`];
  if (dose.pause_s) parts.push(`${count(dose.pause_s)} s pause`);
  parts.push(dose.days_per_week === 7 ? "every day" : `${count(dose.days_per_week)} ${dose.days_per_week === 1 ? "day" : "days"} a week`);
  if (dose.ball !== null) parts.push(dose.ball ? "with a ball" : "without a ball");
  if (dose.start) parts.push(`from ${calendarDay(dose.start, language)}`);
  if (dose.until) parts.push(`until ${calendarDay(dose.until, language)}`);
  return parts.join(", ");
}
