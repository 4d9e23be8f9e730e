import type { Drill, DrillChoice, FindingCode } from "../../api/types";
import { localDay } from "../../words/times";

/** More is a list to read, and no suggestion. */
const MOST_SUGGESTED = 3;

/** A drill with the library's own dose, until a date that many weeks from today. */
export function firstDose(drill: Drill, today: Date = new Date()): DrillChoice {
  const { sets, reps, pause_s, days_per_week, weeks } = drill.dose;
  const until = localDay(new Date(today.getFullYear(), today.getMonth(), today.getDate() + weeks * 7));
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

/** A number of a dose: its name on the page, and what the server takes. */
interface Limit {
  name: string;
  low: number;
  high: number;
  whole: boolean;
  mayBeEmpty: boolean;
}

export const DOSE_LIMITS: Readonly<Record<"sets" | "reps" | "pause_s" | "days_per_week", Limit>> = {
  sets: { name: "Sets", low: 1, high: 20, whole: true, mayBeEmpty: false },
  reps: { name: "Times", low: 1, high: 100, whole: true, mayBeEmpty: false },
  pause_s: { name: "Pause", low: 0, high: 60, whole: false, mayBeEmpty: true },
  days_per_week: { name: "Days a week", low: 1, high: 7, whole: true, mayBeEmpty: false },
};

export type DoseField = keyof typeof DOSE_LIMITS;

const FIELDS = Object.keys(DOSE_LIMITS) as DoseField[];

/** What a field of a dose lacks, in words; empty when it is good. While one is being written it may hold anything. */
export function doseFault(field: DoseField, value: unknown): string {
  const { name, low, high, whole, mayBeEmpty } = DOSE_LIMITS[field];
  if (value === null || value === undefined || value === "") return mayBeEmpty ? "" : wanted();
  return typeof value === "number" && value >= low && value <= high && (!whole || Number.isInteger(value)) ? "" : wanted();

  function wanted(): string {
    if (whole) return `${name}: a whole number from ${low} to ${high}.`;
    return `${name}: from ${low} to ${high} s, or empty.`;
  }
}

/** Days that are good each by itself and not together: while both are being set, or a year is half written. */
const daysFault = ({ start, until }: DrillChoice): string => (start && until && until < start ? "Ends before it begins." : "");

/** The fields of a drill that are not finished, with what they lack. */
export const doseFaults = (drill: DrillChoice): { field: DoseField | "until"; words: string }[] =>
  [...FIELDS.map((field) => ({ field, words: doseFault(field, drill[field]) })), { field: "until" as const, words: daysFault(drill) }].filter(({ words }) => words !== "");

/**
 * A drill as it can be saved: an unfinished field as it was last, since the server takes the whole draft or nothing of it. `last`: the drill as it was good last, whole. Null where
 * nothing good is known of it.
 */
export function finished(drill: DrillChoice, last: DrillChoice | undefined): DrillChoice | null {
  const faults = doseFaults(drill);
  // A field that was emptied holds an empty text: no pause, and no day.
  const good = { ...drill, pause_s: (drill.pause_s as unknown) === "" ? null : drill.pause_s, until: drill.until || null, start: drill.start || null };
  if (faults.length === 0) return good;
  if (last === undefined) return null;
  const days = daysFault(good) === "" ? {} : { start: last.start, until: last.until };
  return { ...good, ...Object.fromEntries(faults.map(({ field }) => [field, last[field]])), ...days };
}
