import type { GivenDrill } from "../../api/types";

export interface Pain {
  key: string;
  name: string;
  day: string;
  note: string;
}

/** Days on which a drill hurt, the newest first. */
export const hurts = (drill: GivenDrill): Pain[] =>
  drill.days
    .filter((one) => one.hurt)
    .map((one) => ({ key: `${drill.assignment_id} ${one.day}`, name: drill.drill.name, day: one.day, note: one.note }))
    .reverse();

/** "6 days, 4 a week asked", "not ticked yet". */
export function practisedWords(drill: GivenDrill): string {
  const days = drill.days.filter((one) => one.sets_done > 0).length;
  if (days === 0) return "not ticked yet";
  return `${days} ${days === 1 ? "day" : "days"}, ${drill.week_asked} a week asked`;
}
